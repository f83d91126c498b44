/** Pictures as files: SVG as it is, or PNG. */
import { InputError } from '../internal.js';

export type PictureFormat = 'svg' | 'png';

/** @throws InputError for a name that ends in neither */
export const pictureFormatOf = (path: string): PictureFormat => {
  const ending = /[^/\\]\.(svg|png)$/i.exec(path)?.[1]?.toLowerCase();
  if (ending === 'svg' || ending === 'png') return ending;
  throw new InputError({
    found: 'the name of a picture that ends in neither .png nor .svg',
    expected: 'a name ending in .png or .svg',
    where: { file: path },
    next: 'Give the picture such a name: the format follows from it.',
  });
};

/** Pixels a picture in PNG has at most each way: larger ones are more than common programs open. */
const mostPixels = 16_000;

/**
 * What to write for a picture. Two pixels for each unit of the picture, enough to zoom into; fewer for a picture of
 * unusual length.
 */
export const pictureBytes = async (svg: string, format: PictureFormat): Promise<string | Uint8Array> => {
  if (format === 'svg') return svg;
  const { default: sharp } = await import('sharp');
  const bytes = new TextEncoder().encode(svg);
  // 72 to the inch is one pixel for each unit.
  const { width = 1, height = 1 } = await sharp(bytes, {
    density: 72,
    limitInputPixels: false,
    unlimited: true,
  }).metadata();
  const times = Math.min(2, mostPixels / Math.max(width, height));
  return sharp(bytes, { density: 72 * times, limitInputPixels: false, unlimited: true })
    .png()
    .toBuffer();
};
