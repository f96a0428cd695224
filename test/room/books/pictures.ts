/** The head of a baseline JPEG of this size, ITU-T T.81, B.2: SOI, APP0, SOF0, SOS; what follows is no true picture. */
export function jpegOf(width: number, height: number, bytes = 200): Uint8Array<ArrayBuffer> {
  const head = [
    ...[0xff, 0xd8],
    ...[0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46, 0, 1, 1, 0, 0, 1, 0, 1, 0, 0],
    ...[0xff, 0xc0, 0, 11, 8, height >> 8, height & 255, width >> 8, width & 255, 1, 1, 0x11, 0],
    ...[0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0],
  ]
  return Uint8Array.from({ length: bytes }, (_, at) => head[at] ?? at % 251)
}
