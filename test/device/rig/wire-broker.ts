import { createServer, type Server, type Socket } from 'node:net'
import { generate, parser, type Packet } from 'mqtt-packet'

/** A broker that answers by the book, written on another implementation of the packets, and that keeps what it hears. */
export class WireBroker {
  readonly heard: Packet[] = []
  /** Each connection's bytes as they came. */
  readonly bytes: Buffer[][] = []
  answersPublish = true
  returnCode = 0
  /** Writes its answers so many bytes at a time. */
  pieces = 1000
  #server: Server
  #sockets = new Set<Socket>()
  port = 0

  constructor() {
    this.#server = createServer(socket => this.#take(socket))
  }
  async open(): Promise<void> {
    await new Promise<void>(resolve => this.#server.listen(0, '127.0.0.1', resolve))
    this.port = (this.#server.address() as { port: number }).port
  }
  async close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy()
    await new Promise(resolve => this.#server.close(resolve))
  }
  get connections(): number {
    return this.#sockets.size
  }
  of<C extends Packet['cmd']>(cmd: C): Extract<Packet, { cmd: C }>[] {
    return this.heard.filter((packet): packet is Extract<Packet, { cmd: C }> => packet.cmd === cmd)
  }
  async send(packet: Packet): Promise<void> {
    for (const socket of this.#sockets) this.#write(socket, packet)
    await new Promise(resolve => setTimeout(resolve, 50))
  }
  async sendRaw(bytes: Buffer): Promise<void> {
    for (const socket of this.#sockets) socket.write(bytes)
    await new Promise(resolve => setTimeout(resolve, 50))
  }

  #take(socket: Socket): void {
    this.#sockets.add(socket)
    socket.setNoDelay(true)
    socket.on('error', () => {})
    socket.on('close', () => this.#sockets.delete(socket))
    const bytes: Buffer[] = []
    this.bytes.push(bytes)
    const read = parser({ protocolVersion: 4 })
    read.on('packet', (packet: Packet) => {
      this.heard.push(packet)
      this.#answer(socket, packet)
    })
    read.on('error', (error: Error) => this.heard.push({ cmd: 'auth', reasonCode: 0x80, error } as never))
    socket.on('data', chunk => {
      bytes.push(chunk)
      read.parse(chunk)
    })
  }
  #answer(socket: Socket, packet: Packet): void {
    if (packet.cmd === 'connect')
      this.#write(socket, { cmd: 'connack', returnCode: this.returnCode, sessionPresent: false })
    else if (packet.cmd === 'subscribe')
      this.#write(socket, {
        cmd: 'suback',
        messageId: packet.messageId!,
        granted: packet.subscriptions.map(() => 1),
      })
    else if (packet.cmd === 'publish' && this.answersPublish)
      this.#write(socket, { cmd: 'puback', messageId: packet.messageId! })
    else if (packet.cmd === 'pingreq') this.#write(socket, { cmd: 'pingresp' })
  }
  #write(socket: Socket, packet: Packet): void {
    const bytes = generate(packet)
    for (let at = 0; at < bytes.length; at += this.pieces) socket.write(bytes.subarray(at, at + this.pieces))
  }
}
