/** What the tests use of the interpreter, which comes without types. */
declare module '@micropython/micropython-webassembly-pyscript/micropython.mjs' {
  export interface MicroPython {
    runPython(code: string): unknown
    registerJsModule(name: string, module: object): void
    readonly globals: { get(name: string): any }
    readonly FS: {
      mkdir(path: string): void
      writeFile(path: string, data: Uint8Array | string): void
      readFile(path: string): Uint8Array
      readdir(path: string): string[]
      stat(path: string): { readonly mode: number }
      isDir(mode: number): boolean
      analyzePath(path: string): { readonly exists: boolean }
    }
  }
  export function loadMicroPython(options: {
    heapsize?: number
    linebuffer?: boolean
    stdout?: (line: string) => void
    stderr?: (line: string) => void
  }): Promise<MicroPython>
}
