import type { RoleName, Session } from '../../broker/web/api/session.ts'

/** Who looks at this screen, as the broker says; asked before anything is drawn. */
let me: Session = { signInNeeded: false, name: null, role: 'owner' }

export const whoAmI = (): Session => me
export function setMe(session: Session): void {
  me = session
}

const ORDER: readonly RoleName[] = ['viewer', 'helper', 'owner']

/** Whether what is for `least` and those above is shown here. The broker asks again. */
export const may = (least: RoleName): boolean => ORDER.indexOf(me.role) >= ORDER.indexOf(least)

const FOR_WHOM: Record<RoleName, string> = {
  owner: 'Only the owner changes this.',
  helper: 'Helpers and the owner do this; you are signed in to look.',
  viewer: '',
}
/** In place of what the person may not do. */
export const forWhom = (least: RoleName): string => FOR_WHOM[least]
