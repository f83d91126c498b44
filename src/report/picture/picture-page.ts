/**
 * The page of a picture: its title, a frame with figures at its ticks below it, a column beside
 * that.
 */
import type { Point } from '../../geometry/point.js';
import { shortenedTo } from './lettering.js';
import type { Frame } from './picture-field.js';
import { face, sizes } from './role-style.js';
import { palette } from './signs.js';
import { element, writing } from './svg-text.js';

const border = 44;
/** For the figures at the ticks. */
const gutter = 40;

/** A frame of a size, where it stands on the page. */
export const frameOnPage = (width: number, height: number): Frame => ({
  x: border + gutter,
  y: border + 52,
  width,
  height,
});

/** Where the column beside a frame begins. */
export const columnBeside = (frame: Frame): Point => ({ x: frame.x + frame.width + border, y: frame.y });

export interface PageLayout {
  readonly title: string;
  readonly frame: Frame;
  readonly column: { readonly width: number; readonly bottom: number };
}

/** A page as a whole SVG document, as large as what stands on it. */
export const picturePage = ({ title, frame, column }: PageLayout, parts: readonly string[]): string => {
  const page = {
    width: Math.ceil(columnBeside(frame).x + column.width + border),
    height: Math.ceil(Math.max(frame.y + frame.height + gutter, column.bottom) + border),
  };
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    element(
      'svg',
      {
        xmlns: 'http://www.w3.org/2000/svg',
        ...page,
        viewBox: `0 0 ${page.width} ${page.height}`,
        'font-family': face,
        'font-size': sizes.text,
        fill: palette.ink,
      },
      element('rect', { ...page, fill: palette.paper }),
      writing(frame.x, border + 24, shortenedTo(title, page.width - frame.x - border, sizes.title, true), {
        'font-size': sizes.title,
        'font-weight': 'bold',
      }),
      ...parts,
    ),
    '',
  ].join('\n');
};
