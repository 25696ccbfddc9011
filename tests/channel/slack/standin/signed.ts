import { createHmac } from 'node:crypto';
import type { EnvelopeType } from './sockets.js';

export type Answered = { readonly status: number; readonly body: string };

/** The signature that the platform puts on a request. */
export function sign(secret: string, body: string, seconds: number): Record<string, string> {
  const hash = createHmac('sha256', secret).update(`v0:${seconds}:${body}`).digest('hex');
  return { 'x-slack-request-timestamp': String(seconds), 'x-slack-signature': `v0=${hash}` };
}

/** Sends a payload as a signed request to the address that the app gave. */
export async function deliver(
  url: string,
  secret: string,
  {
    type,
    payload,
    retry = 0,
  }: { readonly type: EnvelopeType; readonly payload: object; readonly retry?: number },
): Promise<Answered> {
  const json = JSON.stringify(payload);
  const body =
    type === 'events_api'
      ? json
      : type === 'interactive'
        ? `payload=${encodeURIComponent(json)}`
        : new URLSearchParams(payload as Record<string, string>).toString();
  const headers = {
    'content-type': type === 'events_api' ? 'application/json' : 'application/x-www-form-urlencoded',
    ...sign(secret, body, Math.floor(Date.now() / 1000)),
    ...(retry === 0 ? {} : { 'x-slack-retry-num': String(retry), 'x-slack-retry-reason': 'http_timeout' }),
  };
  const answer = await fetch(url, { method: 'POST', body, headers });
  return { status: answer.status, body: await answer.text() };
}
