/** What somebody may do: look, do the daily work, or everything. */
export const Role = {
  /** Sees everything but secrets, and changes nothing. */
  viewer: 'viewer',
  /** Does the daily work besides: batches, harvests, counts, alarms, cleaning, the refrigerator, the plan. */
  helper: 'helper',
  /** Everything: settings, people, devices, credentials, what is brought in. */
  owner: 'owner',
} as const
export type Role = (typeof Role)[keyof typeof Role]

/** From the least to the most. */
export const ROLES = [Role.viewer, Role.helper, Role.owner] as const

/** Whether `role` may do what is for `least` and those above. */
export const mayAct = (role: Role, least: Role): boolean => ROLES.indexOf(role) >= ROLES.indexOf(least)

export const isRole = (text: unknown): text is Role => ROLES.some(role => role === text)
