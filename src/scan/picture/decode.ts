/** A picture file as grey levels and the size of its pixels. Only here is a picture decoded; sharp is loaded when it is called. */
import { bounds, limits } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import { type Density, inWords, storedDensity } from './density.js';
import type { GreyPicture, PixelSize } from './grey-picture.js';

export interface DecodedPicture {
  readonly picture: GreyPicture;
  readonly pixel: PixelSize;
  /** Pixels to the inch, x and y of the picture as it is seen, and who says so. */
  readonly density: { readonly x: number; readonly y: number; readonly source: string };
  /** What was done to the picture, or is doubtful about it, a sentence each. */
  readonly notes: readonly string[];
}

const mostPixels = limits.scanPixels.most;
const leastSize = 16;
/** Pixels to the inch that a scan may have. */
const { atLeast: leastDensity, atMost: mostDensity } = bounds['scan --dpi'];
/** What programs write that know no density. */
const customary = [72, 96, 25.4];

/**
 * @param dpi pixels to the inch, x and y, where the caller says so
 * @throws InputError for what is no picture, is damaged, too large or too small, or says no density
 */
export const decodePicture = async (
  bytes: Uint8Array,
  file: string,
  dpi?: readonly [number, number],
): Promise<DecodedPicture> => {
  const { default: sharp } = await import('sharp');
  // Scans are decoded one at a time: a cache of them is memory that nobody uses again.
  sharp.cache(false);
  const refuse = (found: string, expected: string, next: string): InputError =>
    new InputError({ found, expected, where: { file }, next });
  const unreadable = (error: unknown): InputError => {
    const reason = (error instanceof Error ? error.message : String(error)).split('\n')[0]!;
    return /unsupported image format/i.test(reason)
      ? refuse(
          'a file that is no picture of a known kind',
          'a scan as PNG, TIFF or JPEG',
          'Give the file that the scanner wrote; a PDF is to be exported as PNG first.',
        )
      : refuse(
          `a picture that cannot be read to its end: ${reason}`,
          'a whole picture',
          'Scan or copy it again.',
        );
  };
  if (bytes.length === 0)
    throw refuse('an empty file', 'a scan as PNG, TIFF or JPEG', 'Scan or copy it again.');
  const settings = { limitInputPixels: false, failOn: 'truncated' } as const;
  const meta = await sharp(bytes, settings)
    .metadata()
    .catch((error: unknown) => {
      throw unreadable(error);
    });
  if (meta.format === 'svg' || meta.format === 'pdf')
    throw refuse(
      `a drawing (${meta.format.toUpperCase()})`,
      'a scan as PNG, TIFF or JPEG',
      '"reseat list" shows what is in a drawing.',
    );
  const { width, height } = meta;
  if (width * height > mostPixels) {
    const next = 'Scan at a lower density, such as 600 to the inch, or cut the picture into parts.';
    throw refuse(`${width} x ${height} pixels`, `at most ${mostPixels / 1e6} million`, next);
  }
  if (Math.min(width, height) < leastSize)
    throw refuse(
      `${width} x ${height} pixels`,
      `a scan of ${leastSize} x ${leastSize} or more`,
      'Scan the panel itself.',
    );
  const notes: string[] = [];
  const stored = storedDensity(bytes, file);
  const turned = stored.orientation >= 5;
  const density = chosenDensity(stored.density, stored.unitless, turned, dpi, file);
  const deep =
    meta.depth === 'ushort' || meta.depth === 'short' || meta.depth === 'float' || meta.depth === 'uint';
  let image = sharp(bytes, settings).autoOrient();
  if (meta.hasAlpha) {
    image = image.flatten({ background: '#ffffff' });
    notes.push('The picture has transparent parts: they count as white.');
  }
  if ((meta.pages ?? 1) > 1) notes.push(`The file holds ${meta.pages} pictures: the first one was taken.`);
  if (stored.orientation > 1) notes.push('The file says that the picture is to be turned, and it was.');
  if (meta.space === 'cmyk')
    notes.push('The picture is made of printing colours (CMYK): its brightness was taken.');
  const raw = await (deep
    ? image.toColourspace('grey16').raw({ depth: 'ushort' })
    : image.toColourspace('b-w').raw()
  )
    .toBuffer({ resolveWithObject: true })
    .catch((error: unknown) => {
      throw unreadable(error);
    });
  const { data, info } = raw;
  const count = info.width * info.height;
  const whole = deep
    ? new Uint16Array(data.buffer, data.byteOffset, count * info.channels)
    : new Uint8Array(data.buffer, data.byteOffset, count * info.channels);
  const levels = info.channels === 1 ? whole : everyNth(whole, info.channels);
  if (dpi === undefined && customary.some((d) => Math.abs(density.x * 25.4 - d) < 0.02)) {
    notes.push(
      `${inWords(density)} is what programs write that know no density: if the panel is not ${sizeInWords(info.width / density.x, info.height / density.y)} large in the picture, say --dpi.`,
    );
  }
  return {
    picture: { width: info.width, height: info.height, levels, white: deep ? 65_535 : 255 },
    pixel: { x: 1 / density.x, y: 1 / density.y },
    density: { x: density.x * 25.4, y: density.y * 25.4, source: density.source },
    notes,
  };
};

const sizeInWords = (width: number, height: number): string =>
  `${width.toFixed(0)} x ${height.toFixed(0)} mm`;

const everyNth = <T extends Uint8Array | Uint16Array>(values: T, n: number): T => {
  const result = values.slice(0, values.length / n) as T;
  for (let i = 0; i < result.length; i += 1) result[i] = values[i * n]!;
  return result;
};

/** Pixels to the millimetre of the picture as it is seen. */
const chosenDensity = (
  stored: Density | undefined,
  unitless: string | undefined,
  turned: boolean,
  dpi: readonly [number, number] | undefined,
  file: string,
): Density => {
  if (dpi !== undefined) return { x: dpi[0] / 25.4, y: dpi[1] / 25.4, source: '--dpi' };
  if (stored === undefined) {
    throw new InputError({
      found: `no density in the picture${unitless === undefined ? '' : ` (${unitless})`}`,
      expected: 'how many pixels there are to the inch',
      where: { file },
      next: 'Say at which density it was scanned, as in --dpi 600.',
    });
  }
  const inside = (v: number): boolean => v * 25.4 >= leastDensity && v * 25.4 <= mostDensity;
  if (!inside(stored.x) || !inside(stored.y)) {
    throw new InputError({
      found: `a density of ${inWords(stored)} (${stored.source})`,
      expected: `from ${leastDensity} to ${mostDensity}`,
      where: { file },
      next: 'Say at which density it was scanned, as in --dpi 600.',
    });
  }
  return turned ? { x: stored.y, y: stored.x, source: stored.source } : stored;
};

/** The picture at most so many pixels wide, as a JPEG in a data URI: to draw on. */
export const shrunkPicture = async (bytes: Uint8Array, width: number): Promise<string> => {
  const { default: sharp } = await import('sharp');
  const jpeg = await sharp(bytes, { limitInputPixels: false })
    .autoOrient()
    .flatten({ background: '#ffffff' })
    .resize({ width, withoutEnlargement: true })
    .jpeg({ quality: 85 })
    .toBuffer();
  return `data:image/jpeg;base64,${jpeg.toString('base64')}`;
};
