import type { ServerResponse } from 'node:http';

/** A page that listens: its own stream of server-sent events. */
export type Subscriber = {
  /** Sends an event; a page that does not read what it is sent is let go and comes again by itself. */
  send(event: string, data: unknown, id?: string): void;
  close(): void;
};

/** Who listens now. */
export type Subscribers = {
  readonly count: number;
  /** Sends to all. The text is made once. */
  send(event: string, data: unknown, id?: string): void;
  /** Takes over a response whose head is not written yet; null when too many listen already. */
  add(response: ServerResponse, headers: Readonly<Record<string, string>>): Subscriber | null;
  close(): void;
};

export type SubscriberLimits = {
  /** So many may listen. */
  readonly most: number;
  /** So many bytes may wait for one that does not read, beside what it is sent at its start. */
  readonly mostBytes: number;
  readonly pingMs: number;
};

export const SUBSCRIBER_LIMITS: SubscriberLimits = { most: 200, mostBytes: 1_000_000, pingMs: 15_000 };

/** When a page that was let go comes again, ms. */
const RETRY_MS = 1000;

export function openSubscribers(limits: SubscriberLimits = SUBSCRIBER_LIMITS): Subscribers {
  const all = new Set<{ readonly subscriber: Subscriber; write(text: string): void }>();

  const sendAll = (text: string) => {
    for (const one of all) one.write(text);
  };
  const ping = setInterval(() => sendAll(frame('ping', {})), limits.pingMs);
  ping.unref();

  return {
    get count() {
      return all.size;
    },
    send: (event, data, id) => {
      if (all.size > 0) sendAll(frame(event, data, id));
    },
    add: (response, headers) => {
      if (all.size >= limits.most) return null;
      response.writeHead(200, {
        ...headers,
        'content-type': 'text/event-stream; charset=utf-8',
        'cache-control': 'no-store',
        'x-accel-buffering': 'no',
      });
      response.socket?.setNoDelay(true);
      let waiting = 0;
      response.on('drain', () => {
        waiting = 0;
      });
      const close = () => {
        all.delete(entry);
        if (!response.writableEnded) response.end();
      };
      const write = (text: string) => {
        if (response.destroyed) return close();
        if (response.write(text)) return;
        waiting += text.length;
        if (waiting <= limits.mostBytes) return;
        all.delete(entry);
        // Nothing that is written now would be read: the cut itself tells the page to come again.
        response.destroy();
      };
      const subscriber: Subscriber = {
        send: (event, data, id) => {
          if (!response.destroyed) response.write(frame(event, data, id));
        },
        close,
      };
      const entry = { subscriber, write };
      response.on('close', () => all.delete(entry));
      response.on('error', () => all.delete(entry));
      response.write(`retry: ${RETRY_MS}\n\n`);
      all.add(entry);
      return subscriber;
    },
    close: () => {
      clearInterval(ping);
      for (const { subscriber } of [...all]) subscriber.close();
    },
  };
}

/** JSON has no line ends of its own, so one data line is enough. */
function frame(event: string, data: unknown, id?: string): string {
  return `${id === undefined ? '' : `id: ${id}\n`}event: ${event}\ndata: ${JSON.stringify(data)}\n\n`;
}
