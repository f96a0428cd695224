import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import fc from 'fast-check'
import { PHOTO_PIXELS, unfitToShow } from '../../../broker/room/books/photos.ts'
import { pictureSize } from '../../../broker/room/books/picture-size.ts'
import { jpegOf } from './pictures.ts'

/** 5 by 3 pixels each, as Chromium's canvas writes them (libjpeg-turbo, libpng, libwebp), without their colour profiles. */
const REAL = {
  JPEG: '/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAKBueIx4ZKCMgoy0qqC+8P//8Nzc8P//////////////////////////////////////////////////////////2wBDAaq0tPDS8P//////////////////////////////////////////////////////////////////////////////wAARCAADAAUDASIAAhEBAxEB/8QAFQABAQAAAAAAAAAAAAAAAAAAAAP/xAAWEAEBAQAAAAAAAAAAAAAAAAAAAjH/xAAVAQEBAAAAAAAAAAAAAAAAAAAAAf/EABYRAQEBAAAAAAAAAAAAAAAAAAABMf/aAAwDAQACEQMRAD8AlWgC3a//2Q==',
  PNG: 'iVBORw0KGgoAAAANSUhEUgAAAAUAAAADCAYAAABbNsX4AAAAIElEQVR4AWyIwQkAABCCpP137j7dI0gQQRn8EpRW5jwAAAD//7FcRuwAAAAGSURBVAMAUvcGAUawXgIAAAAASUVORK5CYII=',
  'WebP, lossy': 'UklGRjQAAABXRUJQVlA4ICgAAABwAQCdASoFAAMAB0CWJaACdAFAAAD+7c7f/jeP8l39u+3kRhnWAAAA',
  'WebP, lossless': 'UklGRh4AAABXRUJQVlA4TBEAAAAvBIAAEA8Q8x/zH4weRPQ/AAA=',
  'WebP, extended':
    'UklGRloAAABXRUJQVlA4WAoAAAAQAAAABAAAAgAAQUxQSAsAAAABDzD/ERGiBxH9DwBWUDggKAAAAHABAJ0BKgUAAwAHQJYlqAJ0AUAAAP7lCr49tfJjqT/JMcEfSf5AAAA=',
}

it.each(Object.entries(REAL))('reads the size of a picture that another program made: %s', (_, base64) => {
  expect(pictureSize(Buffer.from(base64, 'base64'))).toEqual({ width: 5, height: 3 })
})

it('reads the size of our own icons', () => {
  const icon = readFileSync(new URL('../../../dashboard/public/icons/cone-192.png', import.meta.url))
  expect(pictureSize(icon)).toEqual({ width: 192, height: 192 })
})

it('finds nothing to show in what is cut off or made up, and never fails', () => {
  const whole = jpegOf(640, 480)
  expect(pictureSize(whole)).toEqual({ width: 640, height: 480 })
  for (let bytes = 0; bytes < 29; bytes++) expect(pictureSize(whole.slice(0, bytes)), `${bytes}`).toBeNull()
  const heads = [
    [0xff, 0xd8, 0xff],
    [0x89, 0x50, 0x4e, 0x47],
    [0x52, 0x49, 0x46, 0x46],
  ]
  fc.assert(
    fc.property(fc.constantFrom(...heads), fc.uint8Array({ maxLength: 60 }), (head, rest) => {
      const size = pictureSize(Uint8Array.from([...head, ...rest]))
      expect(size === null || (size.width > 0 && size.height > 0)).toBe(true)
    }),
    { numRuns: 2000 },
  )
})

it('refuses what unpacks to more than a phone holds, and takes what is just within', () => {
  expect(unfitToShow(jpegOf(5000, PHOTO_PIXELS / 5000))).toBeNull()
  expect(unfitToShow(jpegOf(5000, PHOTO_PIXELS / 5000 + 1))).toMatch(/million pixels, got 5000 × 5001/)
})
