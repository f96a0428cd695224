/** What somebody may do: look, do the daily work, or everything. */
export const SignInRole = {
  /** Sees everything but secrets, and changes nothing. */
  viewer: 'viewer',
  /** Does the daily work besides: batches, harvests, counts, alarms, cleaning, the refrigerator, the plan. */
  helper: 'helper',
  /** Everything: settings, people, devices, credentials, what is brought in. */
  owner: 'owner',
} as const
export type SignInRole = (typeof SignInRole)[keyof typeof SignInRole]

/** From the least to the most. */
export const ROLES = [SignInRole.viewer, SignInRole.helper, SignInRole.owner] as const

/** Whether `role` may do what is for `least` and those above. */
export const mayAct = (role: SignInRole, least: SignInRole): boolean =>
  ROLES.indexOf(role) >= ROLES.indexOf(least)

export const isRole = (text: unknown): text is SignInRole => ROLES.some(role => role === text)
