/** Windows inside the page: nested svg elements and symbols. */

import { compose, invert, translation } from '../../geometry/affine.js';
import { type Path, pathBox, transformPath } from '../../geometry/curve.js';
import { lengthOf, sizeOf, type Viewport } from './svg-lengths.js';
import { type Frame, type Limit, parseAspectRatio, parseViewBox, viewBoxMap } from './svg-viewport.js';
import type { XmlElement } from './xml/xml.js';

/**
 * Matrix, viewport and limit inside a nested svg or symbol (SVG 2, sections 5.5 and 8.2); undefined
 * for a window without size, which shows nothing.
 * @param sizes width and height of the `use` that shows it, where it has them
 */
export const innerViewport = (
  element: XmlElement,
  style: ReadonlyMap<string, string>,
  frame: Frame,
  sizes: { readonly width?: string | undefined; readonly height?: string | undefined },
): Pick<Frame, 'matrix' | 'viewport' | 'limit'> | undefined => {
  const { attributes } = element;
  const outer = frame.viewport;
  const x = lengthOf(attributes, 'x', 'x', outer) ?? 0;
  const y = lengthOf(attributes, 'y', 'y', outer) ?? 0;
  const width = sizeOf(sizes.width ? sizes : attributes, 'width', 'x', outer) ?? outer.width;
  const height = sizeOf(sizes.height ? sizes : attributes, 'height', 'y', outer) ?? outer.height;
  const viewBox = parseViewBox(attributes);
  const ratio = parseAspectRatio(attributes);
  if (width === 0 || height === 0 || viewBox?.width === 0 || viewBox?.height === 0) return undefined;
  const corner = compose(frame.matrix, translation(x, y));
  const matrix = viewBox === undefined ? corner : compose(corner, viewBoxMap(viewBox, ratio, width, height));
  const viewport: Viewport = { ...(viewBox ?? { width, height }), pixel: outer.pixel };
  const overflow = (style.get('overflow') ?? attributes.overflow)?.trim();
  const toWindow = overflow === 'visible' || overflow === 'auto' ? undefined : invert(corner);
  if (toWindow === undefined) return { matrix, viewport };
  const limit: Limit = {
    toWindow,
    width,
    height,
    ...(frame.limit === undefined ? {} : { outer: frame.limit }),
  };
  return { matrix, viewport, limit };
};

/**
 * True when a shape reaches out of one of the windows by more than a thousandth of the window's
 * larger side.
 */
export const reachesBeyond = (paths: readonly Path[], limit: Limit): boolean => {
  for (let window: Limit | undefined = limit; window !== undefined; window = window.outer) {
    const slack = 1e-3 * Math.max(window.width, window.height);
    for (const path of paths) {
      const box = pathBox(transformPath(window.toWindow, path));
      const inside =
        box.minX >= -slack &&
        box.minY >= -slack &&
        box.maxX <= window.width + slack &&
        box.maxY <= window.height + slack;
      if (!inside) return true;
    }
  }
  return false;
};
