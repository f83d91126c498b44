/**
 * A picture of a plan, as SVG text: the panel in bands of the error to be expected, its contours
 * labelled in mm, the marks, and the opening that needs most.
 *
 *     title
 *     +---------------------+   what is needed
 *     |  the panel in the   |   the gain of each mark
 *     |  drawing's frame    |   the bands
 *     +---------------------+
 */
import type { Shape } from '../../../drawing/model/drawing.js';
import type { RoleAssignment } from '../../../drawing/roles/roles.js';
import { pathData } from '../../../drawing/write/path-data.js';
import { apply, invert, type Matrix } from '../../../geometry/affine.js';
import { pathBox } from '../../../geometry/curve.js';
import { type Box, boxOfPoints, joinBoxes, type Point } from '../../../geometry/point.js';
import type { Job } from '../../../job/job.js';
import type { Plan } from '../../../plan/plan.js';
import { fixed } from '../../text/layout.js';
import { zeroOf } from '../../text/plan-text.js';
import { type Frame, ticksOn } from '../picture-field.js';
import { columnBeside, frameOnPage, picturePage } from '../picture-page.js';
import { markSign, rimmed, touchSign } from '../picture-signs.js';
import { sizes } from '../role-style.js';
import { palette, weights } from '../signs.js';
import { element } from '../svg-text.js';
import { bandsOf, type ErrorBands } from './plan-bands.js';
import { planColumn, planColumnWidth } from './plan-column.js';
import { type PlanSign, signsOf } from './plan-signs.js';

/** The panel takes this much at most, picture units each way. */
const room = 1000;
const surround = 40;

export interface PlanInPicture {
  readonly job: Job;
  readonly roles: RoleAssignment;
  readonly plan: Plan;
}

/** The picture as a whole SVG document, in the design frame. */
export const planPicture = ({ job, roles, plan }: PlanInPicture): string => {
  const box = contentBox(roles, plan);
  const scale = room / Math.max(box.maxX - box.minX, box.maxY - box.minY);
  const frame = frameOnPage(
    (box.maxX - box.minX) * scale + 2 * surround,
    (box.maxY - box.minY) * scale + 2 * surround,
  );
  const left = frame.x + surround - scale * box.minX;
  const top = frame.y + surround + scale * box.maxY;
  const toPicture: Matrix = [scale, 0, 0, -scale, left, top];
  const signs = signsOf(plan, toPicture, box);
  const mm = (box: Box): Box => {
    const back = invert(toPicture)!;
    return boxOfPoints([
      apply(back, { x: box.minX, y: box.minY }),
      apply(back, { x: box.maxX, y: box.maxY }),
    ]);
  };
  const taken = signs.flatMap(({ boxes }) => boxes.map(mm));
  const bands = bandsOf(plan, box, roles, { letter: sizes.small / scale, taken });
  const column = planColumn({ plan, zero: zeroOf(job) }, bands, columnBeside(frame));
  const layout = {
    title: job.title ?? job.path,
    frame,
    column: { width: planColumnWidth, bottom: column.bottom },
  };
  return picturePage(layout, [
    ticksOn(frame, toPicture, 'drawing, mm'),
    panelOn(roles, frame, toPicture, bands),
    openingsOn(roles.openings, plan.chosen.worstOpening, toPicture),
    bands === undefined ? '' : labelsOn(bands, toPicture),
    ...signs.map((sign) => (sign.isChosen ? placeOn(sign) : presentOn(sign))),
    column.svg,
  ]);
};

const contentBox = ({ openings, outline }: RoleAssignment, plan: Plan): Box =>
  [...openings, ...outline]
    .flatMap((shape) => shape.paths.map(pathBox))
    .reduce(joinBoxes, boxOfPoints(plan.chosen.places.map((place) => place.at)));

/** The panel filled with its bands; without an outline they fill the frame. */
const panelOn = (
  { outline }: RoleAssignment,
  frame: Frame,
  toPicture: Matrix,
  bands: ErrorBands | undefined,
): string => {
  const d = outline.flatMap(({ paths }) => paths.map((path) => pathData(path, toPicture, 2))).join('');
  const region = d === '' ? element('rect', { ...frame }) : element('path', { d, 'clip-rule': 'evenodd' });
  const rim = { fill: 'none', stroke: palette.ink, 'stroke-width': weights.panel };
  const lowest = { x: frame.x, y: frame.y, width: frame.width, height: frame.height };
  return element(
    'g',
    { 'data-part': 'bands' },
    element('clipPath', { id: 'panel' }, region),
    element(
      'g',
      { 'clip-path': 'url(#panel)' },
      element('rect', { ...lowest, fill: bands?.colours[0] ?? palette.panel }),
      ...(bands?.regions ?? []).map(({ rings, colour }) =>
        element('path', {
          d: rings.map((ring) => ringData(ring, toPicture)).join(''),
          fill: colour,
          'fill-rule': 'evenodd',
          stroke: palette.ink,
          'stroke-opacity': 0.45,
          'stroke-width': 0.9,
        }),
      ),
    ),
    d === '' ? '' : element('path', { d, ...rim }),
  );
};

const ringData = (ring: readonly Point[], toPicture: Matrix): string => {
  const points = ring.map((p) => apply(toPicture, p));
  return `M${points.map(({ x, y }) => `${x.toFixed(1)},${y.toFixed(1)}`).join('L')}Z`;
};

/** Openings are holes in the panel; the one that needs most has a heavy rim. */
const openingsOn = (openings: readonly Shape[], worst: string | undefined, toPicture: Matrix): string =>
  element(
    'g',
    {
      'data-part': 'openings',
      fill: palette.paper,
      'fill-rule': 'evenodd',
      stroke: palette.ink,
      'stroke-width': weights.existing,
    },
    ...openings.map(({ id, paths }) =>
      element('path', {
        d: paths.map((path) => pathData(path, toPicture, 2)).join(''),
        ...(id === worst ? { 'stroke-width': weights.broken, 'data-worst': 'true' } : {}),
      }),
    ),
  );

/** Each level once, along its contour. */
const labelsOn = ({ regions, decimals }: ErrorBands, toPicture: Matrix): string =>
  element(
    'g',
    { 'data-part': 'contour-labels', 'font-size': sizes.small },
    ...regions.flatMap(({ level, label }) => {
      if (label === undefined) return [];
      const at = apply(toPicture, label.at);
      // The page counts y downwards; upside down nobody reads.
      const turn = -label.degrees;
      const upright = turn > 90 ? turn - 180 : turn < -90 ? turn + 180 : turn;
      const turned = { transform: `rotate(${upright.toFixed(1)} ${at.x.toFixed(1)} ${at.y.toFixed(1)})` };
      return rimmed(at.x, at.y + 4.4, fixed(level, decimals), { 'text-anchor': 'middle', ...turned });
    }),
  );

/** Marks that are there already and are not chosen: in the second ink, for comparison. */
const presentOn = ({ place: { name }, at, text, label }: PlanSign): string =>
  element(
    'g',
    { 'data-present': name, fill: palette.quiet },
    markSign(at, { colour: palette.quiet, larger: 0.8 }),
    rimmed(label.x, label.y + 0.36 * sizes.small, text, {
      'text-anchor': 'middle',
      'font-size': sizes.small,
    }),
  );

/** A planned mark, or a place of an edge to touch. */
const placeOn = ({ place, at, text, label, size }: PlanSign): string => {
  const sign = place.normal === undefined ? markSign(at, { larger: 1.6 }) : touchSign(at, 1.8);
  const name = { 'text-anchor': 'middle', 'font-size': size, 'font-weight': 'bold' };
  return element('g', { 'data-mark': place.name }, sign, rimmed(label.x, label.y + 0.35 * size, text, name));
};
