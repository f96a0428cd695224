/** Forms that keep what is typed: what it is, its page, its element and field, what is typed, and what opens it. */
export const halfTypedForms = (vesselId: string) =>
  [
    ['a pH', `/vessel/${vesselId}`, 'bw-observe', 'ph', '8.1', /^\s*pH\s*$/],
    ['a salinity', `/vessel/${vesselId}`, 'bw-observe', 'salinity', '27', 'Salinity'],
    ['a note', `/vessel/${vesselId}`, 'bw-note-form', 'text', 'a ring', 'Write a note'],
    ['a draw', '/held', 'bw-refrigerator', 'share', '35', 'Feed from it'],
    ['when to disinfect', '/cleaning', 'bw-cleaning', 'everyBatches', '7', ''],
    ['the hours', '/plan', 'bw-plan-preferences', 'wake.from', '05:45', 'How you work'],
    ['a feeding', '/plan', 'bw-feed-form', 'nauplii', '123', 'Tick off'],
    ['a name', `/vessel/${vesselId}`, 'bw-vessel-facts', 'name', 'upper cone', ''],
    ['a height', '/settings', 'bw-altitude', 'altitudeM', '640', ''],
    ['when a probe is due', '/settings', 'bw-calibration-due', 'months', '6', ''],
    ['a device', '/devices', 'bw-add-device', 'name', 'cone-9', 'Add a device'],
    ['a bridge', '/topics', 'bw-bridges', 'name', 'shelf', ''],
    ['a recipe', `/recipe?vessel=${vesselId}`, 'bw-recipe', 'litres', '1.3', ''],
  ] as const
