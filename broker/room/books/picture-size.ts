/** A picture's width and height, pixels. */
export interface PictureSize {
  readonly width: number
  readonly height: number
}

/** Read from its head, nothing is decoded; `null` where there is none of a JPEG, PNG or WebP picture, or it is cut off. */
export function pictureSize(body: Uint8Array): PictureSize | null {
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength)
  try {
    const size =
      view.getUint16(0) === 0xffd8 ? jpeg(view) : view.getUint32(0) === 0x89504e47 ? png(view) : webp(view)
    return size !== null && size.width > 0 && size.height > 0 ? size : null
  } catch (error) {
    // It ends before what was looked for.
    if (error instanceof RangeError) return null
    throw error
  }
}

/** Width and height stand in the frame header, ITU-T T.81, B.2.2; DHT, JPG and DAC lie among its markers (table B.1). */
function jpeg(view: DataView): PictureSize | null {
  for (let at = 2; ;) {
    if (view.getUint8(at) !== 0xff) return null
    const marker = view.getUint8(at + 1)
    // Fill bytes, B.1.1.2.
    if (marker === 0xff) at += 1
    else if (marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc)
      return { height: view.getUint16(at + 5), width: view.getUint16(at + 7) }
    // The scan begins, or the picture ends, and no frame was there.
    else if (marker === 0xda || marker === 0xd9) return null
    else at += 2 + view.getUint16(at + 2)
  }
}

/** W3C PNG (third edition), 11.2.1: IHDR comes first. */
function png(view: DataView): PictureSize | null {
  if (view.getUint32(12) !== 0x49484452) return null
  return { width: view.getUint32(16), height: view.getUint32(20) }
}

/** RFC 9649, section 2.5 to 2.7 (and RFC 6386, 9.1, for the lossy kind). */
function webp(view: DataView): PictureSize | null {
  switch (view.getUint32(12)) {
    case 0x56503820:
      return { width: view.getUint16(26, true) & 0x3fff, height: view.getUint16(28, true) & 0x3fff }
    case 0x5650384c: {
      const bits = view.getUint32(21, true)
      return { width: (bits & 0x3fff) + 1, height: ((bits >>> 14) & 0x3fff) + 1 }
    }
    case 0x56503858: {
      const u24 = (at: number) => view.getUint16(at, true) | (view.getUint8(at + 2) << 16)
      return { width: u24(24) + 1, height: u24(27) + 1 }
    }
    default:
      return null
  }
}
