/**
 * What the worker uses of its surroundings. The types of the DOM and of workers cannot both be loaded, and the dashboard has the
 * DOM's: these are the few of the others (Service Workers, W3C; Notifications and Push API).
 */
export interface WorkerScope {
  readonly location: Location
  readonly registration: {
    readonly scope: string
    showNotification(title: string, options: NoticeOptions): Promise<void>
    getNotifications(filter?: { tag?: string }): Promise<readonly { close(): void }[]>
  }
  readonly clients: {
    claim(): Promise<void>
    matchAll(options: { type: 'window'; includeUncontrolled: boolean }): Promise<readonly WindowClient[]>
    openWindow(url: string): Promise<WindowClient | null>
  }
  skipWaiting(): Promise<void>
  addEventListener<Name extends keyof WorkerEvents>(
    name: Name,
    listener: (event: WorkerEvents[Name]) => void,
  ): void
}

export interface WindowClient {
  readonly url: string
  readonly visibilityState: 'hidden' | 'visible'
  focus(): Promise<WindowClient>
  navigate(url: string): Promise<WindowClient | null>
  postMessage(message: unknown): void
}

export interface LifeEvent extends Event {
  waitUntil(work: Promise<unknown>): void
}

interface WorkerEvents {
  install: LifeEvent
  activate: LifeEvent
  fetch: LifeEvent & { readonly request: Request; respondWith(response: Promise<Response>): void }
  push: LifeEvent & { readonly data: { text(): string } | null }
  notificationclick: LifeEvent & {
    readonly action: string
    readonly notification: { readonly data: unknown; close(): void }
  }
}

/** Beyond what the DOM's types know of notifications. */
export interface NoticeOptions {
  readonly body: string
  readonly tag: string
  readonly renotify: boolean
  readonly requireInteraction: boolean
  readonly silent: boolean
  readonly vibrate?: readonly number[]
  readonly timestamp: number
  readonly icon: string
  readonly badge: string
  readonly lang: string
  readonly data: unknown
  readonly actions: readonly { readonly action: string; readonly title: string }[]
}
