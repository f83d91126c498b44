/** Small scans for calls with mistakes in them: made as bytes here, so that the same number is the same file on every machine. */
import { deflateSync } from 'node:zlib';
import type { RandomSource } from '../../src/numeric/random.js';
import { circleLoop, type Loop, polygonLoop, type Rendering, rendered, slotLoop } from '../scan/rendered.js';

type Picture = ReturnType<typeof rendered>;

const crcs = Uint32Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? 0xed_b8_83_20 ^ (crc >>> 1) : crc >>> 1;
  return crc;
});
/** PNG, second edition (W3C), annex D. */
const crcOf = (bytes: Uint8Array): number => {
  let crc = 0xff_ff_ff_ff;
  for (const byte of bytes) crc = crcs[(crc ^ byte) & 255]! ^ (crc >>> 8);
  return (crc ^ 0xff_ff_ff_ff) >>> 0;
};

const chunk = (type: string, data: Buffer): Buffer => {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const framed = Buffer.alloc(8 + body.length);
  framed.writeUInt32BE(data.length, 0);
  body.copy(framed, 4);
  framed.writeUInt32BE(crcOf(body), 4 + body.length);
  return framed;
};

/** @param density pixels to the metre, or none */
const png = ({ width, height, levels, white }: Picture, density: number | undefined): Buffer => {
  const size = white > 255 ? 2 : 1;
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header[8] = 8 * size;
  const rows = Buffer.alloc(height * (1 + width * size));
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const at = y * (1 + width * size) + 1 + x * size;
      if (size === 2) rows.writeUInt16BE(levels[y * width + x]!, at);
      else rows[at] = levels[y * width + x]!;
    }
  const physical = Buffer.alloc(9);
  physical.writeUInt32BE(density ?? 0, 0);
  physical.writeUInt32BE(density ?? 0, 4);
  physical[8] = 1;
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]),
    chunk('IHDR', header),
    ...(density === undefined ? [] : [chunk('pHYs', physical)]),
    chunk('IDAT', deflateSync(rows)),
    chunk('IEND', Buffer.alloc(0)),
  ]);
};

/** Uncompressed, one strip, little-endian (TIFF 6.0, section 3): no sum guards its bytes, so that mistakes get through. */
const tiff = ({ width, height, levels, white }: Picture, density: number | undefined): Buffer => {
  const size = white > 255 ? 2 : 1;
  const short = 3;
  const long = 4;
  const rational = 5;
  const entries: [tag: number, type: number, value: number][] = [
    [256, long, width],
    [257, long, height],
    [258, short, 8 * size],
    [259, short, 1],
    [262, short, 1],
    [273, long, 0],
    [277, short, 1],
    [278, long, height],
    [279, long, width * height * size],
  ];
  const count = entries.length + (density === undefined ? 0 : 3);
  const after = 8 + 2 + 12 * count + 4;
  if (density !== undefined) entries.push([282, rational, after], [283, rational, after], [296, short, 3]);
  const data = after + 8;
  entries[5]![2] = data;
  const file = Buffer.alloc(data + width * height * size);
  file.write('II*\0', 'latin1');
  file.writeUInt32LE(8, 4);
  file.writeUInt16LE(count, 8);
  entries.forEach(([tag, type, value], i) => {
    file.writeUInt16LE(tag, 10 + 12 * i);
    file.writeUInt16LE(type, 12 + 12 * i);
    file.writeUInt32LE(1, 14 + 12 * i);
    file.writeUInt32LE(value, 18 + 12 * i);
  });
  // Pixels to the centimetre.
  file.writeUInt32LE(density ?? 0, after);
  file.writeUInt32LE(100, after + 4);
  levels.forEach((level, i) => {
    if (size === 2) file.writeUInt16LE(level, data + 2 * i);
    else file[data + i] = level;
  });
  return file;
};

const loopOf = (random: RandomSource, width: number, height: number): Loop => {
  const at = (size: number): number => size * (random.uniform() * 1.1 - 0.05);
  const pick = <T>(of: readonly T[]): T => of[random.index(of.length)]!;
  const [x, y, r] = [at(width), at(height), pick([0.02, 0.1, 0.2, 0.4]) * height];
  switch (random.index(4)) {
    case 0:
      return circleLoop(x, y, r);
    case 1:
      return slotLoop(x, y, at(width), at(height), r / 2);
    case 2:
      return polygonLoop([x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]);
    default:
      return polygonLoop(
        ...Array.from({ length: 3 + random.index(5) }, () => [at(width), at(height)] as const),
      );
  }
};

/** A file of a scan of 8 to 120 pixels a side, mostly sound. */
export const pictureFile = (random: RandomSource): { name: string; bytes: Buffer } => {
  const pick = <T>(of: readonly T[]): T => of[random.index(of.length)]!;
  const chance = (share: number): boolean => random.uniform() < share;
  const density = pick([4, 6, 8]);
  const width = chance(0.03) ? 2 : pick([12, 15, 9]);
  const height = chance(0.03) ? 2 : pick([10, 14]);
  const loops = chance(0.5)
    ? [circleLoop(width / 3, height / 3, height / 6), slotLoop(width * 0.6, 2, width * 0.6, height - 2, 0.8)]
    : Array.from({ length: 1 + random.index(5) }, () => loopOf(random, width, height));
  const how: Rendering = {
    width,
    height,
    density,
    densityY: chance(0.1) ? density * 1.5 : density,
    seed: random.index(1000),
    blur: pick([0, 0.7, 0.7, 1.2, 3]),
    noise: pick([0, 4, 4, 4, 12, 60]),
    texture: pick([0, 4]),
    ...(chance(0.2) ? { panel: 30, opening: pick([225, 225, 60, 30]) } : {}),
    ...(chance(0.2) ? { deep: true } : {}),
  };
  const picture = rendered(loops, how);
  if (chance(0.15))
    return { name: 'scan.tif', bytes: tiff(picture, chance(0.9) ? density * 1000 : undefined) };
  return { name: 'scan.png', bytes: png(picture, chance(0.9) ? density * 1000 : undefined) };
};
