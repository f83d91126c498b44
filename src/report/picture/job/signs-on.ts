/**
 * The signs of a job's picture with their names and numbers: on no other text, on no sign, within
 * the frame.
 */
import { apply, applyLinear, type Matrix } from '../../../geometry/affine.js';
import { add, length, type Point, scale, unit } from '../../../geometry/point.js';
import { around, type LabelRoom } from '../label-room.js';
import { letteringWidth, shortenedTo } from '../lettering.js';
import type {
  PictureDetail,
  PictureFinding,
  PictureInput,
  PictureLand,
  PictureMark,
  PictureWitness,
} from '../picture-input.js';
import {
  arrow,
  chip,
  chipSize,
  findingSign,
  leadLine,
  markSign,
  rimmed,
  touchSign,
  witnessSign,
} from '../picture-signs.js';
import { sizes } from '../role-style.js';
import { palette } from '../signs.js';
import { element, roundStep } from '../svg-text.js';

/** The longest arrow, picture units. */
export const longestArrow = 80;

/** mm; below this a residual is rounding and gets no arrow. */
const noResidual = 1e-6;

/** A longer name is shortened in its middle, picture units. */
const longestName = 170;

/**
 * So many lands, and so many findings, have a number and are listed; of more the places alone are
 * shown.
 */
export const mostNumbered = 8;
/** Of more lands than these nothing is drawn: they would be all that is seen. */
const mostRings = 200;

/**
 * By how much residuals are stretched: the round factor (1, 2, 5, 10 ...) that brings the longest
 * arrow nearest to `longestArrow` without passing it; undefined when there is none to draw.
 * @param pictureScale picture units per mm
 */
export const residualFactor = (marks: readonly PictureMark[], pictureScale: number): number | undefined => {
  const largest = Math.max(0, ...marks.map((mark) => (mark.residual ? length(mark.residual) : 0)));
  return largest < noResidual ? undefined : roundStep(longestArrow / (largest * pictureScale));
};

/** What stands for a detail: the number of the land it shows, else one of its own. */
export const detailSigns = (details: readonly PictureDetail[]): string[] => {
  let places = 0;
  return details.map(({ land }) => {
    if (land !== undefined) return landSign(land);
    places += 1;
    return String(places);
  });
};

export const landSign = (index: number): string => `L${index + 1}`;

interface Drawn {
  /** Under all names. */
  readonly sign: string;
  readonly at: Point;
  readonly data: Readonly<Record<string, string | number>>;
  /** A name, or a number in a ring. */
  readonly text: string;
  readonly isChip?: boolean;
  readonly decides?: boolean;
  readonly bold?: boolean;
  readonly preferred?: Point;
  /** It may be left out where there is no room for it nearby. */
  readonly mayLack?: boolean;
}

/** All of them; what matters most finds its room first. */
export const signsOn = (
  input: PictureInput,
  toPicture: Matrix,
  factor: number | undefined,
  room: LabelRoom,
): string => {
  const drawn = [
    ...placesOf(input.details ?? [], toPicture),
    ...marksOf(input.marks ?? [], toPicture, factor, room),
    ...witnessOf(input.witness ?? [], toPicture),
    ...findingsOf(input.findings ?? [], toPicture),
    ...landsOf(input.thinLands ?? [], toPicture),
  ];
  for (const { at } of drawn) room.take(around(at, 12, 12));
  return drawn
    .map((one) => element('g', one.data, one.sign, one.text === '' ? '' : labelOf(one, room)))
    .join('\n');
};

const labelOf = (one: Drawn, room: LabelRoom): string => {
  const { at, isChip = false, bold = true, decides = false, mayLack = false } = one;
  const size = bold ? sizes.text : sizes.small;
  const text = isChip ? one.text : shortenedTo(one.text, longestName, size, bold);
  const box = isChip ? chipSize(text) : { width: letteringWidth(text, size, bold) + 4, height: size + 2 };
  const label = room.beside(at, box, {
    gap: isChip ? 14 : 10,
    ...(one.preferred === undefined ? {} : { preferred: one.preferred }),
    ...(mayLack ? { farthest: 90 } : {}),
  });
  if (label === undefined) return '';
  const lead = label.lead === undefined ? '' : leadLine(label.lead);
  if (isChip) return lead + chip(label.at, text, decides);
  return (
    lead +
    rimmed(label.at.x, label.at.y + 0.36 * size, text, {
      'text-anchor': 'middle',
      'font-size': size,
      ...(bold ? { 'font-weight': 'bold' } : {}),
    })
  );
};

/** A dot at each place that is enlarged. */
const placesOf = (details: readonly PictureDetail[], toPicture: Matrix): Drawn[] => {
  const names = detailSigns(details);
  return details.flatMap((detail, i) => {
    if (detail.land !== undefined) return [];
    const at = apply(toPicture, detail.at);
    const decides = names[i] === '1';
    const spot = element('circle', { cx: at.x, cy: at.y, r: decides ? 4.4 : 2.6 });
    return [{ sign: spot, at, data: { 'data-detail': names[i]! }, text: names[i]!, isChip: true, decides }];
  });
};

/**
 * Each mark at its fitted position, its residual as an arrow, its name on the other side where
 * there is room.
 */
const marksOf = (
  marks: readonly PictureMark[],
  toPicture: Matrix,
  factor: number | undefined,
  room: LabelRoom,
): Drawn[] =>
  marks.map((mark) => {
    const at = apply(toPicture, mark.at);
    const stretched = scale(applyLinear(toPicture, mark.residual ?? { x: 0, y: 0 }), factor ?? 0);
    room.takeLine(at, add(at, stretched), 6);
    const isTouch = mark.kind === 'touch';
    return {
      sign: (isTouch ? touchSign(at) : markSign(at)) + arrow(at, add(at, stretched)),
      at,
      data: isTouch ? { 'data-touch': mark.name } : { 'data-mark': mark.name },
      text: mark.name,
      bold: !isTouch,
      ...(length(stretched) < 1 ? {} : { preferred: unit(scale(stretched, -1)) }),
    };
  });

const witnessOf = (witness: readonly PictureWitness[], toPicture: Matrix): Drawn[] =>
  witness.map(({ name, at }) => {
    const place = apply(toPicture, at);
    return { sign: witnessSign(place), at: place, data: { 'data-witness': name }, text: name };
  });

/** A triangle at each place where the cut does something to the piece, with its number. */
const findingsOf = (findings: readonly PictureFinding[], toPicture: Matrix): Drawn[] =>
  findings.map(({ at }, i) => {
    const place = apply(toPicture, at);
    return {
      sign: findingSign(place),
      at: place,
      data: { 'data-finding': i + 1 },
      text: i < mostNumbered ? `!${i + 1}` : '',
      mayLack: i > 0,
    };
  });

/** A ring round the place of a thin land, with its number. */
const landsOf = (lands: readonly PictureLand[], toPicture: Matrix): Drawn[] =>
  lands.slice(0, mostRings).map((land, i) => {
    const at = apply(toPicture, land.at);
    const ring = { cx: at.x, cy: at.y, r: 6, fill: 'none', stroke: palette.ink, 'stroke-width': 1.2 };
    return {
      sign: element('circle', ring),
      at,
      data: { 'data-land': i + 1 },
      text: i < mostNumbered ? landSign(i) : '',
      isChip: true,
      mayLack: i > 0,
    };
  });
