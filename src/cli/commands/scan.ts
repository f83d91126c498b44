/** `reseat scan IMAGE -o openings.svg|.dxf [--dpi N] [--openings dark|light] [--smallest MM] [--picture FILE]` */
import {
  bounds,
  decodePicture,
  drawingFormatOf,
  InputError,
  knownScale,
  nearestWord,
  readKnownLength,
  scanDxf,
  scanJson,
  scanPicture,
  scanPictureSvg,
  scanSvg,
  scanText,
  shrunkPicture,
  type Tone,
  usualSmallest,
} from '../../internal.js';
import { readRequired } from '../disk.js';
import { type Io, jsonLine, status } from '../io.js';
import { pictureBytes, pictureFormatOf } from '../picture-file.js';
import { startProgress } from '../progress.js';
import { refuseSamePlace, saveAll, type Target, targetFor } from '../save.js';

export interface ScanOptions {
  readonly output: string | undefined;
  /** As typed. */
  readonly dpi: string | undefined;
  readonly openings: string | undefined;
  readonly smallest: string | undefined;
  readonly picture: string | undefined;
  /** As typed, each. */
  readonly known: readonly string[];
  readonly force: boolean;
  readonly json: boolean;
}

/** Width of the picture of a scan at most, units. */
const pictureWidth = 1600;

export const scan = async (path: string, options: ScanOptions, io: Io): Promise<number> => {
  const { output, picture, force, json } = options;
  const dpi = options.dpi === undefined ? undefined : densityOf(options.dpi);
  const openings = options.openings === undefined ? undefined : toneOf(options.openings);
  const smallest = options.smallest === undefined ? usualSmallest : sizeOf(options.smallest);
  const lengths = options.known.map(readKnownLength);
  const format = output === undefined ? undefined : drawingFormatOf(output);
  const pictureFormat = picture === undefined ? undefined : pictureFormatOf(picture);
  const placeFor = (file: string, what: string): Target =>
    targetFor(io, file, { force, inputs: [path], what });
  const target = output === undefined ? undefined : placeFor(output, 'a drawing');
  const pictureTarget = picture === undefined ? undefined : placeFor(picture, 'a picture');
  if (target !== undefined && pictureTarget !== undefined) refuseSamePlace([target, pictureTarget]);
  const progress = startProgress(io.stderr, json);
  try {
    progress.step('reading the picture');
    const bytes = readRequired(io, path, 'a scan');
    const decoded = await decodePicture(bytes, path, dpi);
    const settings = { smallest, ...(openings === undefined ? {} : { openings }) };
    const traced = scanPicture(decoded.picture, decoded.pixel, settings, path, progress.step);
    const scaled =
      lengths.length === 0 ? undefined : { ...settings, known: knownScale(traced, lengths, path) };
    const found =
      scaled === undefined
        ? traced
        : scanPicture(decoded.picture, decoded.pixel, scaled, path, progress.step);
    const files: { target: Target; text: string | Uint8Array }[] = [];
    const title = `Openings traced from ${path}`;
    if (target !== undefined)
      files.push({ target, text: format === 'dxf' ? scanDxf(found, title) : scanSvg(found, title) });
    if (pictureTarget !== undefined && pictureFormat !== undefined) {
      progress.step('drawing the picture');
      const image = await shrunkPicture(bytes, 2 * pictureWidth);
      const svg = scanPictureSvg({ scan: found, image, width: pictureWidth });
      files.push({ target: pictureTarget, text: await pictureBytes(svg, pictureFormat) });
    }
    const report = { path, decoded, scan: found, ...(output === undefined ? {} : { output }) };
    await progress.end();
    saveAll(files);
    io.stdout.write(json ? jsonLine(scanJson(report)) : scanText(report));
    return status.done;
  } finally {
    await progress.end();
  }
};

/** `600` or `600,601` */
export const densityOf = (typed: string): readonly [number, number] => {
  const values = typed
    .split(/[,x]/i)
    .map((part) => (/^\d*\.?\d+$/.test(part.trim()) ? Number(part) : Number.NaN));
  const [x, y = x] = values;
  const { atLeast, atMost } = bounds['scan --dpi'];
  if (
    values.length <= 2 &&
    x !== undefined &&
    y !== undefined &&
    [x, y].every((v) => v >= atLeast && v <= atMost)
  )
    return [x, y];
  throw new InputError({
    found: `--dpi ${typed}`,
    expected: `pixels to the inch, from ${atLeast} to ${atMost}: one number, or one across and one down`,
    next: 'Write for example --dpi 600, or --dpi 600,601.',
  });
};

const toneOf = (typed: string): Tone => {
  if (typed === 'dark' || typed === 'light') return typed;
  const nearest = nearestWord(typed, ['dark', 'light']);
  throw new InputError({
    found: `--openings ${typed}`,
    expected: 'dark or light',
    next: nearest === undefined ? 'Say what openings are in the picture.' : `Did you mean ${nearest}?`,
  });
};

const sizeOf = (typed: string): number => {
  const size = /^\d*\.?\d+$/.test(typed) ? Number(typed) : Number.NaN;
  const { atLeast, atMost } = bounds['scan --smallest'];
  if (size >= atLeast && size <= atMost) return size;
  throw new InputError({
    found: `--smallest ${typed}`,
    expected: `a size in mm, from ${atLeast} to ${atMost}`,
    next: `Write for example --smallest ${usualSmallest}.`,
  });
};
