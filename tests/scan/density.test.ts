import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { decodePicture } from '../../src/scan/picture/decode.js';
import { storedDensity } from '../../src/scan/picture/density.js';

/** A grey ramp of 40 x 30 pixels. */
const ramp = () =>
  sharp(Buffer.from(Uint8Array.from({ length: 1200 }, (_, i) => i % 40)), {
    raw: { width: 40, height: 30, channels: 1 },
  });

/** The PNG without what its writer says of its density, and with this chunk behind its header. */
const withChunk = (png: Buffer, type: string, data: Buffer): Buffer => {
  const bare = without(png);
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const sum = Buffer.alloc(4);
  sum.writeUInt32BE(crc(body));
  return Buffer.concat([bare.subarray(0, 33), length, body, sum, bare.subarray(33)]);
};

const without = (png: Buffer): Buffer => {
  const at = png.indexOf('pHYs', 0, 'latin1') - 4;
  return at < 0 ? png : Buffer.concat([png.subarray(0, at), png.subarray(at + 21)]);
};

/** W3C PNG, annex D. */
const crc = (bytes: Buffer): number => {
  let c = 0xffffffff;
  for (const b of bytes) {
    c ^= b;
    for (let k = 0; k < 8; k += 1) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  }
  return (c ^ 0xffffffff) >>> 0;
};

const physical = (x: number, y: number, unit: number): Buffer => {
  const data = Buffer.alloc(9);
  data.writeUInt32BE(x, 0);
  data.writeUInt32BE(y, 4);
  data[8] = unit;
  return data;
};

/** TIFF tags 282, 283 and 296, and 274, little end first, as Exif holds them. */
const exif = (x: [number, number], y: [number, number], unit: number, orientation = 1): Buffer => {
  const b = Buffer.alloc(8 + 2 + 4 * 12 + 4 + 16);
  b.write('II', 0, 'latin1');
  b.writeUInt16LE(42, 2);
  b.writeUInt32LE(8, 4);
  b.writeUInt16LE(4, 8);
  const entry = (i: number, tag: number, type: number, value: number): void => {
    const at = 10 + 12 * i;
    b.writeUInt16LE(tag, at);
    b.writeUInt16LE(type, at + 2);
    b.writeUInt32LE(1, at + 4);
    if (type === 3) b.writeUInt16LE(value, at + 8);
    else b.writeUInt32LE(value, at + 8);
  };
  entry(0, 274, 3, orientation);
  entry(1, 282, 5, 62);
  entry(2, 283, 5, 70);
  entry(3, 296, 3, unit);
  [x, y].forEach(([a, d], i) => {
    b.writeUInt32LE(a, 62 + 8 * i);
    b.writeUInt32LE(d, 66 + 8 * i);
  });
  return b;
};

const withExif = (jpeg: Buffer, data: Buffer): Buffer => {
  const body = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), data]);
  const head = Buffer.from([0xff, 0xe1, (body.length + 2) >> 8, (body.length + 2) & 255]);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
};

/** The JPEG with a JFIF header that says this. */
const withJfif = (jpeg: Buffer, unit: number, x: number, y: number): Buffer => {
  const body = Buffer.from([0x4a, 0x46, 0x49, 0x46, 0, 1, 1, unit, x >> 8, x & 255, y >> 8, y & 255, 0, 0]);
  const head = Buffer.from([0xff, 0xe0, 0, body.length + 2]);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
};

describe('how large the pixels of a file are', () => {
  it('is taken from a PNG as it stands there, across and down', async () => {
    const plain = await ramp().png().toBuffer();
    const found = storedDensity(withChunk(plain, 'pHYs', physical(11811, 11820, 1)), 'a.png');
    expect([found.density!.x, found.density!.y]).toEqual([11.811, 11.82]);
    const decoded = await decodePicture(withChunk(plain, 'pHYs', physical(11811, 11820, 1)), 'a.png');
    expect(decoded.pixel).toEqual({ x: 1 / 11.811, y: 1 / 11.82 });
  });

  it('is not taken from a PNG that tells a ratio alone', async () => {
    const plain = without(await ramp().png().toBuffer());
    await expect(decodePicture(withChunk(plain, 'pHYs', physical(1, 1, 0)), 'a.png')).rejects.toMatchObject({
      found: 'no density in the picture (pHYs without a unit)',
      next: expect.stringContaining('--dpi 600'),
    });
    await expect(decodePicture(plain, 'a.png')).rejects.toMatchObject({ found: 'no density in the picture' });
    expect((await decodePicture(plain, 'a.png', [254, 508])).pixel).toEqual({ x: 0.1, y: 0.05 });
  });

  it.each([0, 3_000_000])('of %i to the metre is refused', async (value) => {
    const bytes = withChunk(await ramp().png().toBuffer(), 'pHYs', physical(value, value, 1));
    await expect(decodePicture(bytes, 'a.png')).rejects.toMatchObject({
      found: expect.stringContaining('a density of'),
      next: expect.stringContaining('--dpi'),
    });
  });

  it('that programs write who know none is told of', async () => {
    const bytes = withChunk(await ramp().png().toBuffer(), 'pHYs', physical(2835, 2835, 1));
    expect((await decodePicture(bytes, 'a.png')).notes.join()).toMatch(
      /72.009 to the inch is what programs write/,
    );
  });

  it('is taken from the tags of a TIFF to the last digit', async () => {
    const bytes = await ramp().tiff({ xres: 23.6228, yres: 23.5 }).toBuffer();
    const found = storedDensity(bytes, 'a.tif').density!;
    expect(found.x).toBeCloseTo(23.6228, 4);
    expect(found.y).toBeCloseTo(23.5, 4);
  });

  it('is taken from JFIF, in inches or centimetres', async () => {
    const plain = await ramp().jpeg().toBuffer();
    expect(storedDensity(withJfif(plain, 1, 600, 300), 'a.jpg').density).toEqual({
      x: 600 / 25.4,
      y: 300 / 25.4,
      source: 'JFIF',
    });
    expect(storedDensity(withJfif(plain, 2, 236, 236), 'a.jpg').density!.x).toBeCloseTo(23.6, 12);
    expect(storedDensity(withJfif(plain, 0, 1, 1), 'a.jpg').density).toBeUndefined();
  });

  it('is taken from Exif, which is finer, and refused where it contradicts JFIF', async () => {
    const plain = withJfif(await ramp().jpeg().toBuffer(), 1, 600, 600);
    const fine = storedDensity(withExif(plain, exif([5_999_988, 10_000], [6_000_100, 10_000], 2)), 'a.jpg');
    expect(fine.density!.x * 25.4).toBeCloseTo(599.9988, 9);
    expect(fine.density!.y * 25.4).toBeCloseTo(600.01, 9);
    expect(() => storedDensity(withExif(plain, exif([72, 1], [72, 1], 2)), 'a.jpg')).toThrow(
      /two densities, 600/,
    );
  });

  it('goes with a picture that is to be turned by a quarter', async () => {
    const plain = withJfif(await ramp().jpeg().toBuffer(), 0, 1, 1);
    const decoded = await decodePicture(withExif(plain, exif([600, 1], [300, 1], 2, 6)), 'a.jpg');
    expect([decoded.picture.width, decoded.picture.height]).toEqual([30, 40]);
    expect(decoded.pixel.x).toBeCloseTo(25.4 / 300, 12);
    expect(decoded.notes.join()).toMatch(/turned/);
  });
});

describe('pictures of all kinds', () => {
  const dpi = [600, 600] as const;

  it('16 bits keep their levels', async () => {
    const values = Uint16Array.from({ length: 1200 }, (_, i) => 50 * i);
    const bytes = await sharp(values, { raw: { width: 40, height: 30, channels: 1 } })
      .toColourspace('grey16')
      .png()
      .toBuffer();
    const { picture } = await decodePicture(bytes, 'a.png', dpi);
    expect(picture.white).toBe(65_535);
    expect([...picture.levels.subarray(0, 3), picture.levels[1199]]).toEqual([0, 50, 100, 59_950]);
  });

  it('what is transparent counts as white, and it is said', async () => {
    const bytes = await sharp({
      create: { width: 30, height: 20, channels: 4, background: { r: 0, g: 0, b: 0, alpha: 0 } },
    })
      .png()
      .toBuffer();
    const { picture, notes } = await decodePicture(bytes, 'a.png', dpi);
    expect(picture.levels[0]).toBe(255);
    expect(notes.join()).toMatch(/transparent/);
  });

  it('printing colours become grey', async () => {
    const bytes = await sharp({ create: { width: 30, height: 20, channels: 3, background: '#ffffff' } })
      .toColourspace('cmyk')
      .jpeg()
      .toBuffer();
    const { picture, notes } = await decodePicture(bytes, 'a.jpg', dpi);
    expect(picture.levels[0]).toBeGreaterThan(240);
    expect(picture.levels).toHaveLength(600);
    expect(notes.join()).toMatch(/CMYK/);
  });

  it.each([
    ['text', async () => Buffer.from('no picture at all'), /no picture of a known kind/],
    [
      'one pixel',
      () =>
        sharp({ create: { width: 1, height: 1, channels: 3, background: '#fff' } })
          .png()
          .toBuffer(),
      /1 x 1 pixels/,
    ],
    [
      'a drawing',
      async () => Buffer.from('<svg xmlns="http://www.w3.org/2000/svg" width="30" height="30"/>'),
      /a drawing \(SVG\)/,
    ],
    [
      'half a file',
      async () => (await ramp().png({ compressionLevel: 0 }).toBuffer()).subarray(0, 700),
      /cannot be read to its end/,
    ],
  ])('%s is refused', async (_, make, message) => {
    await expect(decodePicture(await make(), 'a.png', dpi)).rejects.toMatchObject({
      found: expect.stringMatching(message),
      next: expect.stringMatching(/\w/),
    });
  });

  it('400 million pixels are refused before they are read', async () => {
    // The header of a picture of 20,000 x 20,000 pixels, and nothing else.
    const plain = await ramp().png().toBuffer();
    const head = Buffer.from(plain);
    head.writeUInt32BE(20_000, 16);
    head.writeUInt32BE(20_000, 20);
    head.writeUInt32BE(crc(head.subarray(12, 29)), 29);
    await expect(decodePicture(head, 'a.png', dpi)).rejects.toMatchObject({
      found: '20000 x 20000 pixels',
      next: expect.stringContaining('lower density'),
    });
  });
});
