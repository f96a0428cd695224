import { RoomError, RoomErrorKind } from '../../broker/room/contract.ts'
import type { AdoptedTopic } from '../../broker/web/api/topics.ts'
import type { OthersSensors } from '../../broker/web/others-sensors.ts'

/** One topic is seen; what is adopted or added is kept. */
export function fakeOthers(): OthersSensors {
  let adopted: AdoptedTopic[] = []
  let bridges: { name: string; topics: readonly string[]; createdAtMs: number }[] = []
  const missing = () => {
    throw new RoomError(RoomErrorKind.notFound, 'Cannot find it')
  }
  return {
    seen: () => [
      {
        topic: 'home/shelf',
        bridge: 'house',
        at: '2026-01-01T00:00:00.000Z',
        count: 3,
        text: '{"t":21.5}',
        bytes: 10,
        retained: false,
        numbers: [{ pointer: '/t', value: 21.5 }],
      },
    ],
    refused: () => [{ bridge: 'house', topic: 'home/other/x', at: '2026-01-01T00:00:00.000Z', count: 2 }],
    adopted: () => adopted,
    async adopt(topic) {
      if (topic.device === 'bench-1')
        throw new RoomError(RoomErrorKind.conflict, 'Cannot adopt: taken', 'device')
      const one = { ...topic, id: `t${adopted.length}` }
      adopted = [...adopted, one]
      return one
    },
    async drop(id) {
      if (!adopted.some(one => one.id === id)) missing()
      adopted = adopted.filter(one => one.id !== id)
    },
    bridges: async () => bridges,
    async addBridge(bridge) {
      bridges = [...bridges, { ...bridge, createdAtMs: 0 }]
      return 'secret'
    },
    async removeBridge(name) {
      if (!bridges.some(one => one.name === name)) missing()
      bridges = bridges.filter(one => one.name !== name)
    },
  }
}
