import { createServer, type AddressInfo } from 'node:net'
import { Aedes } from 'aedes'

/** The yardstick: aedes with nothing around it, in a process of its own. Started by `bare.ts`. */
const broker = await Aedes.createBroker({ concurrency: 0 })
const server = createServer(socket => {
  socket.setNoDelay(true)
  broker.handle(socket)
})
server.listen(0, '127.0.0.1', () => process.send?.((server.address() as AddressInfo).port))
process.on('disconnect', () => process.exit(0))
