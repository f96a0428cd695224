import { wayOf } from './shell.ts'

/** Shells of this dashboard in the browser's store, one for each build. Nothing else is ever put there. */
const PREFIX = 'brinewatch-shell-'
/** A page that the broker has not begun to send by then comes from the shell: on a weak radio waiting is as bad as nothing. */
const PATIENCE_MS = 4000
const PAGE = '/'

/** A name with its content's hash in it is right for ever; the browser's own cache may hold any other file of the build before. */
const freshness = (file: string): RequestCache => (file.startsWith('/assets/') ? 'default' : 'reload')

export interface ShellBuild {
  /** Changes with every build whose files differ. */
  readonly version: string
  /** Paths of all files, the page `/` among them. */
  readonly files: readonly string[]
}

/** The dashboard's files as they were built together, so that it opens without the broker. Never data. */
export class Shell {
  readonly #build: ShellBuild
  readonly #files: ReadonlySet<string>
  readonly #origin: string

  constructor(build: ShellBuild, origin: string) {
    this.#build = build
    this.#files = new Set(build.files)
    this.#origin = origin
  }

  /** All or nothing: a shell with a file missing would not open. */
  async fill(): Promise<void> {
    const cache = await caches.open(this.#name)
    try {
      // One at a time: a person has just come, and what they ask for must not wait behind the whole dashboard.
      for (const file of this.#build.files) await cache.add(new Request(file, { cache: freshness(file) }))
    } catch (error) {
      await caches.delete(this.#name)
      throw error
    }
  }

  /** Drops the shells of other builds. */
  async dropOthers(): Promise<void> {
    const names = await caches.keys()
    await Promise.all(
      names.filter(name => name.startsWith(PREFIX) && name !== this.#name).map(name => caches.delete(name)),
    )
  }

  /** The answer to a request of a page, or `null` for one that goes its way without us. */
  answer(request: Request): Promise<Response> | null {
    switch (wayOf(request, this.#origin, this.#files)) {
      case 'leave':
        return null
      case 'page':
        return this.#freshOr(PAGE, request)
      case 'fresh':
        return this.#freshOr(new URL(request.url).pathname, request)
      case 'kept':
        return this.#kept(new URL(request.url).pathname, request)
    }
  }

  async #kept(file: string, request: Request): Promise<Response> {
    return (await this.#find(file)) ?? fetch(request)
  }

  async #freshOr(file: string, request: Request): Promise<Response> {
    const asked = fetch(request)
    // The other one may be left waiting; it is nobody's failure then.
    asked.catch(() => undefined)
    const first = await Promise.race([
      asked.then(
        response => response,
        () => 'failed' as const,
      ),
      new Promise<'late'>(resolve => setTimeout(resolve, PATIENCE_MS, 'late')),
    ])
    if (first instanceof Response) return first
    return (await this.#find(file)) ?? asked
  }

  async #find(file: string): Promise<Response | undefined> {
    const cache = await caches.open(this.#name)
    return cache.match(file, { ignoreSearch: true, ignoreVary: true })
  }

  get #name(): string {
    return PREFIX + this.#build.version
  }
}
