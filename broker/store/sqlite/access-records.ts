import {
  type DeviceRow,
  type DeviceSecrets,
  type SessionRow,
  StoreError,
  StoreErrorCode,
  type TokenRow,
} from '../contract.ts'
import { MOST_SESSIONS } from '../limits.ts'
import type { NewDevice, SecretOffer } from '../writes.ts'
import type { DeviceColumns, SecretColumns } from '../access-columns.ts'
import type { Db } from './database.ts'

/** Who may speak and who may look: devices, bearer tokens, sessions. Read from the file each time. */
export class AccessRecords {
  readonly #deviceByName
  readonly #keepDevice
  readonly #revoke
  readonly #devices
  readonly #remove
  readonly #secret
  readonly #offer
  readonly #take
  readonly #dropToken
  readonly #keepToken
  readonly #tokens
  readonly #keepSession
  readonly #session
  readonly #sessions
  readonly #dropSession
  readonly #dropExpired
  readonly #dropSurplus

  constructor(db: Db) {
    const device = `SELECT name, created_ms AS createdAtMs, revoked_ms AS revokedAtMs, removed_ms AS removedAtMs,
       offered_until_ms AS offeredUntilMs FROM device`
    this.#deviceByName = db.prepare<[string], DeviceColumns>(`${device} WHERE name = ?`)
    this.#devices = db.prepare<[], DeviceColumns>(`${device} ORDER BY created_ms, rowid`)
    this.#keepDevice = db.prepare<[NewDevice]>(
      `INSERT INTO device (name, secret_hash, created_ms, revoked_ms) VALUES (@name, @secretHash, @createdAtMs, NULL)
       ON CONFLICT (name) DO UPDATE SET secret_hash = excluded.secret_hash, created_ms = excluded.created_ms,
         revoked_ms = NULL, removed_ms = NULL, offered_hash = NULL, offered_until_ms = NULL`,
    )
    this.#revoke = db.prepare<[number, string]>(
      `UPDATE device SET revoked_ms = ?, offered_hash = NULL, offered_until_ms = NULL
       WHERE name = ? AND revoked_ms IS NULL`,
    )
    this.#remove = db.prepare<[number, string]>(
      'UPDATE device SET removed_ms = ? WHERE name = ? AND revoked_ms IS NOT NULL AND removed_ms IS NULL',
    )
    this.#secret = db.prepare<[string], SecretColumns>(
      `SELECT secret_hash AS current, offered_hash AS offered, offered_until_ms AS untilMs FROM device
       WHERE name = ? AND revoked_ms IS NULL`,
    )
    this.#offer = db.prepare<[SecretOffer]>(
      `UPDATE device SET offered_hash = @secretHash, offered_until_ms = @untilMs
       WHERE name = @name AND revoked_ms IS NULL`,
    )
    this.#take = db.prepare<[string, string]>(
      `UPDATE device SET secret_hash = offered_hash, offered_hash = NULL, offered_until_ms = NULL
       WHERE name = ? AND revoked_ms IS NULL AND offered_hash = ?`,
    )
    this.#dropToken = db.prepare<[string]>('DELETE FROM token WHERE name = ?')
    this.#keepToken = db.prepare<[TokenRow]>(
      `INSERT INTO token (name, hash, created_ms, role) VALUES (@name, @hash, @createdAtMs, @role)
       ON CONFLICT (name) DO UPDATE SET hash = excluded.hash, created_ms = excluded.created_ms, role = excluded.role`,
    )
    this.#tokens = db.prepare<[], TokenRow>(
      'SELECT name, hash, created_ms AS createdAtMs, role FROM token ORDER BY created_ms, rowid',
    )
    this.#keepSession = db.prepare<[SessionRow]>(
      `INSERT INTO session (hash, created_ms, expires_ms, person, address, agent)
       VALUES (@hash, @createdAtMs, @expiresAtMs, @person, @address, @agent)
       ON CONFLICT (hash) DO UPDATE SET created_ms = excluded.created_ms, expires_ms = excluded.expires_ms,
         person = excluded.person, address = excluded.address, agent = excluded.agent`,
    )
    const session = `SELECT hash, created_ms AS createdAtMs, expires_ms AS expiresAtMs, person, address, agent FROM session`
    this.#session = db.prepare<[string], SessionRow>(`${session} WHERE hash = ?`)
    this.#sessions = db.prepare<[], SessionRow>(`${session} ORDER BY created_ms DESC, rowid DESC`)
    this.#dropSession = db.prepare<[string]>('DELETE FROM session WHERE hash = ?')
    this.#dropExpired = db.prepare<[number]>('DELETE FROM session WHERE expires_ms < ?')
    this.#dropSurplus = db.prepare(
      `DELETE FROM session WHERE rowid IN
         (SELECT rowid FROM session ORDER BY expires_ms DESC, rowid DESC LIMIT -1 OFFSET ${MOST_SESSIONS})`,
    )
  }

  addDevice(device: NewDevice): void {
    const known = this.#deviceByName.get(device.name)
    if (known !== undefined && known.revokedAtMs === null) {
      throw new StoreError(
        StoreErrorCode.duplicate,
        `Cannot add device: its name must be free, got ${device.name}, which another device has`,
      )
    }
    this.#keepDevice.run(device)
  }

  /** Returns whether there was such a device that was not revoked. */
  revokeDevice(name: string, atMs: number): boolean {
    return this.#revoke.run(atMs, name).changes > 0
  }

  /** Returns whether there was such a device that was revoked, and on the list. */
  removeDevice(name: string, atMs: number): boolean {
    return this.#remove.run(atMs, name).changes > 0
  }

  devices(): DeviceRow[] {
    return this.#devices.all().map(({ removedAtMs, offeredUntilMs, ...row }) => ({
      ...row,
      ...(removedAtMs === null ? {} : { removedAtMs }),
      ...(offeredUntilMs === null ? {} : { offeredUntilMs }),
    }))
  }

  deviceSecret(name: string): string | undefined {
    return this.#secret.get(name)?.current
  }

  deviceSecrets(name: string): DeviceSecrets | undefined {
    const row = this.#secret.get(name)
    if (row === undefined) return undefined
    const { current, offered, untilMs } = row
    return { current, offered: offered === null ? null : { secretHash: offered, untilMs: untilMs ?? 0 } }
  }

  /** Returns whether there was such a device that was not revoked. */
  offerDeviceSecret(offer: SecretOffer): boolean {
    return this.#offer.run(offer).changes > 0
  }

  /** Returns whether exactly this was offered. */
  takeDeviceSecret(name: string, secretHash: string): boolean {
    return this.#take.run(name, secretHash).changes > 0
  }

  dropToken(name: string): boolean {
    return this.#dropToken.run(name).changes > 0
  }

  keepToken(token: TokenRow): void {
    this.#keepToken.run(token)
  }

  tokens(): TokenRow[] {
    return this.#tokens.all()
  }

  keepSession(session: SessionRow): void {
    this.#keepSession.run(session)
    this.#dropSurplus.run()
  }

  session(hash: string): SessionRow | undefined {
    return this.#session.get(hash)
  }

  sessions(): SessionRow[] {
    return this.#sessions.all()
  }

  dropSession(hash: string): void {
    this.#dropSession.run(hash)
  }

  dropExpiredSessions(nowMs: number): void {
    this.#dropExpired.run(nowMs)
  }
}
