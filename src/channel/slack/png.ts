import { deflate } from 'node:zlib';

const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
const RGB_8_BIT = Buffer.from([8, 2, 0, 0, 0]);
const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

/**
 * A picture as a PNG file: W3C PNG, third edition, colour type 2, no filter, one chunk of data. `rgb` has three bytes a
 * pixel, row by row.
 */
export async function printPng(width: number, height: number, rgb: Uint8Array): Promise<Buffer> {
  const rows = Buffer.alloc(height * (1 + width * 3));
  for (let y = 0; y < height; y++)
    rows.set(rgb.subarray(y * width * 3, (y + 1) * width * 3), y * (1 + width * 3) + 1);
  const size = Buffer.alloc(8);
  size.writeUInt32BE(width, 0);
  size.writeUInt32BE(height, 4);
  return Buffer.concat([
    SIGNATURE,
    chunk('IHDR', Buffer.concat([size, RGB_8_BIT])),
    chunk('IDAT', await packed(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

function packed(bytes: Buffer): Promise<Buffer> {
  return new Promise((resolve, reject) =>
    deflate(bytes, (error, out) => (error === null ? resolve(out) : reject(error))),
  );
}

function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const [length, check] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  check.writeUInt32BE(crc32(body));
  return Buffer.concat([length, body, check]);
}

function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = (TABLE[(c ^ byte) & 0xff] ?? 0) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}
