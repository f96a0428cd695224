/** Whether this browser can be called, and what keeps it from that. */
export type Able =
  | 'yes'
  /** Served in the clear to another machine: browsers have neither workers nor push there. */
  | 'not-secure'
  /** The browser has no push; on some phones it has, once the page is on the home screen. */
  | 'not-here'
  /** The person has said no, and only the browser's own settings can undo it. */
  | 'refused'

export interface Surroundings {
  readonly secure: boolean
  readonly worker: boolean
  readonly push: boolean
  readonly notices: boolean
  readonly permission: NotificationPermission | null
}

export function ableIn({ secure, worker, push, notices, permission }: Surroundings): Able {
  if (!secure) return 'not-secure'
  if (!worker || !push || !notices) return 'not-here'
  return permission === 'denied' ? 'refused' : 'yes'
}

export function surroundings(): Surroundings {
  const notices = 'Notification' in globalThis
  return {
    secure: isSecureContext,
    worker: 'serviceWorker' in navigator,
    push: 'PushManager' in globalThis,
    notices,
    permission: notices ? Notification.permission : null,
  }
}

/** What to do about it, in plain words; `null` when there is nothing to do. */
export function whyNot(able: Able, origin: string): string | null {
  switch (able) {
    case 'yes':
      return null
    case 'not-secure':
      return `This page came from ${origin}, which is not encrypted, and browsers let only encrypted pages call. Put HTTPS before brinewatch and open it by its https:// address; or be called by e-mail or webhook, which need none of this.`
    case 'not-here':
      return 'This browser cannot be called. On some phones it can once this page is on the home screen: choose "Add to Home Screen" in the browser\'s menu, open brinewatch from there, and come back here.'
    case 'refused':
      return "This browser was told not to show notices from here. Allow notifications for this page in the browser's settings, then load the page again."
  }
}
