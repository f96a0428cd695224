import {
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  fsyncSync,
  linkSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  writeSync,
} from 'node:fs'
import { join } from 'node:path'
import { newId } from '../new-id.ts'
import type { Pair } from './make.ts'

/** What a certificate and its key are called in their folder. */
export interface PairNames {
  readonly cert: string
  readonly key: string
}

const CERTIFICATE = /-----BEGIN CERTIFICATE-----[^]*?-----END CERTIFICATE-----/
const PRIVATE_KEY = /-----BEGIN ([A-Z ]*PRIVATE KEY)-----[^]*?-----END \1-----/

/** The two files as they are; `null` when one is missing. */
export function readPair(dir: string, { cert, key }: PairNames): Pair | null {
  const [certFile, keyFile] = [join(dir, cert), join(dir, key)]
  if (!existsSync(certFile) || !existsSync(keyFile)) return null
  return { cert: readFileSync(certFile, 'utf8'), key: readFileSync(keyFile, 'utf8') }
}

/**
 * A pair that was made here. Its key's file holds the certificate as well, so that there is never one without the other, whatever
 * else writes or breaks off meanwhile; in the certificate's own file it lies once more, for people to copy. Two files that hold one
 * each, as they were written at first, are read as well.
 */
export function readMade(dir: string, names: PairNames): Pair | null {
  const file = join(dir, names.key)
  if (!existsSync(file)) return null
  const text = readFileSync(file, 'utf8')
  const cert = CERTIFICATE.exec(text)?.[0]
  const key = PRIVATE_KEY.exec(text)?.[0]
  if (cert === undefined || key === undefined) return readPair(dir, names)
  return tidy({ cert, key })
}

/** Puts the copy of a made certificate right, which a stop in the middle or another program may have left behind; as far as one may write. */
export function mendCopy(dir: string, names: PairNames, { cert }: Pair): void {
  const file = join(dir, names.cert)
  try {
    if (!existsSync(file) || readFileSync(file, 'utf8') !== cert) put(dir, names.cert, cert)
  } catch {
    // Nothing is read from it where the key's file holds both.
  }
}

/** Keeps a pair in the place of the one before. */
export function replaceMade(dir: string, names: PairNames, made: Pair): Pair {
  const pair = tidy(made)
  put(dir, names.key, bundle(pair))
  put(dir, names.cert, pair.cert)
  return pair
}

/** Keeps a pair where there is none; where somebody else was first, what they kept counts. */
export function keepFirst(dir: string, names: PairNames, made: Pair): Pair {
  const pair = tidy(made)
  const file = join(dir, names.key)
  // Only half of a pair lies there: whoever wrote it was stopped in the middle, and nobody can have used it.
  if (existsSync(file) && readMade(dir, names) === null) return replaceMade(dir, names, pair)
  const part = write(dir, names.key, bundle(pair))
  try {
    if (!linked(part, file)) return readMade(dir, names) ?? pair
  } finally {
    rmSync(part, { force: true })
  }
  put(dir, names.cert, pair.cert)
  return pair
}

const tidy = ({ cert, key }: Pair): Pair => ({ cert: `${cert.trimEnd()}\n`, key: `${key.trimEnd()}\n` })
const bundle = ({ cert, key }: Pair) => key + cert

/** Whether the file is there now by this call; it is never written over. */
function linked(part: string, file: string): boolean {
  try {
    linkSync(part, file)
    return true
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false
  }
  // Some network and memory-card file systems have no links.
  try {
    copyFileSync(part, file, constants.COPYFILE_EXCL)
    return true
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false
    throw error
  }
}

function put(dir: string, name: string, text: string): void {
  renameSync(write(dir, name, text), join(dir, name))
  syncFolder(dir)
}

/** Readable by its owner alone, by a name that nobody else writes to, and on the disk before anybody finds it. */
function write(dir: string, name: string, text: string): string {
  const part = join(dir, `${name}.${newId()}.part`)
  const handle = openSync(part, 'wx', 0o600)
  try {
    writeSync(handle, text)
    fsyncSync(handle)
  } finally {
    closeSync(handle)
  }
  return part
}

/** A power cut must not leave phones with an authority that is gone here. */
function syncFolder(dir: string): void {
  const handle = openSync(dir, 'r')
  try {
    fsyncSync(handle)
  } finally {
    closeSync(handle)
  }
}
