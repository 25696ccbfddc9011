import { request } from 'node:http';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { calendarToken, calendarUrl } from '../../../src/channel/floor/calendar.js';
import type { FlowSource } from '../../../src/desk/flow-source.js';
import { flowTexts, provedFlows } from '../../desk/floor.js';
import { Shop } from './shop.js';

let flows: FlowSource;
let shop: Shop;

beforeAll(async () => {
  flows = await provedFlows(flowTexts());
  shop = await Shop.start(flows);
});

afterAll(async () => shop.end());

type Got = { readonly status: number; readonly type: string; readonly text: string };

/** A plain request, with the host that it names. */
function get(path: string, headers: Readonly<Record<string, string>> = {}): Promise<Got> {
  const { port } = shop.floor;
  return new Promise((resolve, reject) => {
    const asked = request(
      { host: '127.0.0.1', port, path, headers: { host: `127.0.0.1:${port}`, ...headers } },
      (answer) => {
        let text = '';
        answer.setEncoding('utf8');
        answer.on('data', (part: string) => {
          text += part;
        });
        answer.on('end', () =>
          resolve({ status: answer.statusCode ?? 0, type: String(answer.headers['content-type']), text }),
        );
      },
    );
    asked.on('error', reject);
    asked.end();
  });
}

describe('the calendar of the floor page', () => {
  test('is nowhere before somebody asked for its address', async () => {
    expect((await get('/due/.ics')).status).toBe(404);
    expect((await get('/due/undefined.ics')).status).toBe(404);
  });

  test('is read under its address, and the address stays', async () => {
    const token = await calendarToken(shop.disk);
    expect(await calendarToken(shop.disk)).toBe(token);
    const { pathname } = new URL(calendarUrl(`http://127.0.0.1:${shop.floor.port}/`, token));
    const got = await get(pathname);
    expect(got.status).toBe(200);
    expect(got.type).toBe('text/calendar; charset=utf-8');
    expect(got.text).toMatch(/^BEGIN:VCALENDAR\r\nVERSION:2\.0\r\n/);
    expect(got.text).toContain('SUMMARY:gloves G1: last good day');
  });

  test('is not read with another token, under another name, or by another page', async () => {
    const token = await calendarToken(shop.disk);
    const other = `${token.slice(0, -1)}${token.endsWith('A') ? 'B' : 'A'}`;
    for (const path of [`/due/${other}.ics`, `/due/${token}`, `/due/${token}x.ics`, '/due/x.ics'])
      expect((await get(path)).status).toBe(404);
    expect((await get(`/due/${token}.ics`, { host: 'elsewhere.example:80' })).status).toBe(421);
    expect((await get(`/due/${token}.ics`, { origin: 'http://elsewhere.example' })).status).toBe(403);
  });

  test('is void once its file is taken away', async () => {
    const token = await calendarToken(shop.disk);
    await shop.disk.remove('calendar-token');
    expect((await get(`/due/${token}.ics`)).status).toBe(404);
    expect(await calendarToken(shop.disk)).not.toBe(token);
  });
});
