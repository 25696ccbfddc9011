import { randomUUID } from 'node:crypto';
import type { WebSocket } from 'ws';
import { BOT } from './web-api.js';

export type EnvelopeType = 'events_api' | 'interactive' | 'slash_commands';
export const DISCONNECTS = ['warning', 'refresh_requested', 'link_disabled', 'too_many_websockets'] as const;

/** The socket side: envelopes out to any one socket, acknowledgements in. */
export class Sockets {
  readonly open = new Set<WebSocket>();
  /** Acknowledgements by envelope, with what they carried. */
  readonly acks = new Map<string, unknown>();
  opened = 0;
  /** No hello: whoever connects waits for ever. */
  silent = false;
  private turn = 0;
  private readonly watchers = new Set<() => void>();

  take(socket: WebSocket): void {
    this.open.add(socket);
    this.opened++;
    socket.on('close', () => {
      this.open.delete(socket);
      this.changed();
    });
    socket.on('message', (data) => {
      const { envelope_id, payload } = JSON.parse(String(data)) as { envelope_id: string; payload?: unknown };
      this.acks.set(envelope_id, payload ?? {});
      this.changed();
    });
    if (!this.silent) {
      const debug_info = { host: 'standin', approximate_connection_time: 3600 };
      socket.send(
        JSON.stringify({
          type: 'hello',
          num_connections: this.open.size,
          connection_info: { app_id: 'A0' },
          debug_info,
        }),
      );
    }
    this.changed();
  }

  /** Pushes to one of the sockets, by turns; gives the envelope's id. */
  push(
    type: EnvelopeType,
    payload: object,
    more: { envelope_id?: string; retry_attempt?: number } = {},
  ): string {
    const envelope_id = more.envelope_id ?? randomUUID();
    const sockets = [...this.open];
    const socket = sockets[this.turn++ % Math.max(1, sockets.length)];
    if (socket === undefined) throw new Error('no socket is open');
    const retry = type === 'events_api' ? { retry_attempt: more.retry_attempt ?? 0, retry_reason: '' } : {};
    const accepts_response_payload = type !== 'events_api';
    socket.send(JSON.stringify({ envelope_id, type, payload, accepts_response_payload, ...retry }));
    return envelope_id;
  }

  disconnect(reason: (typeof DISCONNECTS)[number]): void {
    for (const socket of this.open)
      socket.send(JSON.stringify({ type: 'disconnect', reason, debug_info: { host: 'standin' } }));
  }

  /** All lines die without a word. */
  drop(): void {
    for (const socket of this.open) socket.terminate();
  }

  /** Settles as soon as the condition holds; looked at whenever something happened here. */
  until(holds: () => boolean): Promise<void> {
    return new Promise((resolve) => {
      const look = () => {
        if (!holds()) return;
        this.watchers.delete(look);
        resolve();
      };
      this.watchers.add(look);
      look();
    });
  }

  changed(): void {
    for (const look of [...this.watchers]) look();
  }
}

/** An event as the platform wraps it. */
export const envelope = (event: object, id: string, more: object = {}): object => ({
  type: 'event_callback',
  team_id: BOT.team,
  api_app_id: 'A0',
  event_id: id,
  event_time: 1,
  authorizations: [
    { enterprise_id: null, team_id: BOT.team, user_id: BOT.user, is_bot: true, is_enterprise_install: false },
  ],
  event,
  ...more,
});
