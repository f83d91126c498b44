/** Signs in the plan: marks, touches, witness points, what each is off by, the numbered places, and their letters. */
import type { JSX, VNode } from 'preact';
import { type Box, diamond, type Point, saltire, signs, triangle } from '../../internal.js';
import { put, sheet } from '../sheet.js';
import type { Ellipse } from './matrix.js';
import { apply, boxThrough, compose, type Frame, type Label, placeLabels, squareAt } from './plan-frame.js';
import {
  axisFoot,
  axisLeft,
  type Exaggeration,
  identity,
  markSize,
  type PlanPicture,
  textWidth,
} from './plan-picture.js';

const EllipseSign = ({
  of,
  at,
  factor,
  frame,
}: {
  of: Ellipse;
  at: Point;
  factor: number;
  frame: Frame;
}): JSX.Element => {
  const turn = (Math.sign(frame.toPx[3]) * of.angle * 180) / Math.PI;
  const size = factor * frame.scale;
  return (
    <ellipse
      class="ell"
      rx={of.long * size}
      ry={of.short * size}
      transform={`translate(${at.x.toFixed(2)} ${at.y.toFixed(2)}) rotate(${turn.toFixed(2)})`}
    />
  );
};

const Arrow = ({ from, to }: { from: Point; to: Point }): JSX.Element | null => {
  const long = Math.hypot(to.x - from.x, to.y - from.y);
  if (long < 1.5) return null;
  const [ux, uy] = [(to.x - from.x) / long, (to.y - from.y) / long];
  const head = Math.min(9, 0.6 * long);
  const [bx, by] = [to.x - head * ux, to.y - head * uy];
  return (
    <>
      <path class={`arr ${long > 90 ? 'bad' : ''}`} d={`M${from.x},${from.y}L${bx},${by}`} />
      <path
        class="head"
        d={`M${to.x},${to.y}L${bx - 0.38 * head * uy},${by + 0.38 * head * ux}L${bx + 0.38 * head * uy},${by - 0.38 * head * ux}Z`}
      />
    </>
  );
};

interface SignsProps {
  readonly picture: PlanPicture;
  readonly frame: Frame;
  readonly box: Box;
  readonly exaggeration: Exaggeration;
}

export const Signs = ({ picture, frame, box, exaggeration }: SignsProps): VNode => {
  const { drawing, sheet: of, width, height, onPaper = false } = picture;
  const { placed, judged, cut } = of.shown;
  const px = (p: Point): Point => apply(frame.toPx, p);
  const factor = exaggeration.errors;
  const read = new Map(placed?.marks.map((mark) => [mark.name, mark]));
  const place = placed?.place ?? identity;
  const marks = [
    ...drawing.marks.map(({ name, at }) => ({ name, at: px(apply(place, at)), fitted: read.get(name) })),
    ...(placed?.marks ?? [])
      .filter(({ name }) => !drawing.marks.some((one) => one.name === name))
      .map((mark) => ({ name: mark.name, at: px(mark.at), fitted: mark })),
  ];
  const details = judged?.details ?? [];
  const corners = boxPx(frame, box);
  const bullets = bulletsOf(
    details.map(({ at }) => px(at)),
    corners,
    width,
    height,
  );
  const witness = (judged?.witness ?? []).map(({ at }, i) => ({ name: `w${i + 1}`, at: px(at) }));
  const touches = (placed?.touches ?? []).map(({ at, foot }, i) => ({
    at: px(at),
    foot: px(foot),
    number: i + 1,
  }));
  const findings = (cut?.findings ?? []).map(({ at, label }) => ({ at: px(at), label }));
  const picked = drawing.shapes.find(({ id }) => id === of.roles?.picked);
  const pickedBox = picked === undefined ? undefined : boxThrough(compose(frame.toPx, place), picked.box);
  const film =
    of.state.sheet === 'film' || onPaper
      ? (cut?.film?.strips ?? []).map(({ corners }) => corners.map(px))
      : [];
  const labelOf = (text: string, at: Point, clear: number, size: number): Label => ({
    text,
    at,
    clear,
    size,
    width: textWidth(text, size),
  });
  const labels: Label[] = [
    ...marks.map(({ name, at }) => labelOf(name, at, 12, markSize(name, onPaper))),
    ...witness.map(({ name, at }) => labelOf(name, at, 10, 13)),
  ];
  const taken = [
    ...marks.map(({ at }) => squareAt(at, 8)),
    ...witness.map(({ at }) => squareAt(at, 6)),
    ...bullets.flatMap(({ from, at }) => [squareAt(at, 12), squareAt(from, 5)]),
    ...touches.map(({ foot }) => squareAt(foot, 6)),
    ...findings.map(({ at }) => squareAt(at, 8)),
  ];
  const texts = placeLabels(labels, taken, corners, {
    minX: axisLeft + 4,
    minY: 4,
    maxX: width - 4,
    maxY: height - axisFoot - 4,
  });
  return (
    <g class="signs">
      {film.map((strip, i) => (
        <g key={`strip${i}`} class="strips">
          <path d={`M${strip.map(({ x, y }) => `${x},${y}`).join('L')}Z`} />
          <text class="wl" x={(strip[0]!.x + strip[3]!.x) / 2 + 8} y={(strip[0]!.y + strip[3]!.y) / 2 + 5}>
            {i + 1}
          </text>
        </g>
      ))}
      {marks.map(({ name, fitted, at }) =>
        fitted?.ellipse === undefined ? null : (
          <EllipseSign key={`e${name}`} of={fitted.ellipse} at={at} factor={factor} frame={frame} />
        ),
      )}
      {details.map(({ id, at, ellipseOnPlan }, i) =>
        ellipseOnPlan === undefined ? null : (
          <EllipseSign key={`${id}${i}`} of={ellipseOnPlan} at={px(at)} factor={factor} frame={frame} />
        ),
      )}
      {bullets.map(({ from, at }, i) => (
        <g key={`b${i}`} class={`place ${i === 0 ? 'decides' : ''}`}>
          <path class="lead" d={`M${from.x},${from.y}L${at.x},${at.y}`} />
          <circle class="spot" cx={from.x} cy={from.y} r={i === 0 ? 4.4 : 2.6} />
          <circle class="bul" cx={at.x} cy={at.y} r="10" />
          <text class="buln" x={at.x} y={at.y + 4.6} text-anchor="middle">
            {i + 1}
          </text>
        </g>
      ))}
      {pickedBox === undefined ? null : (
        <rect
          class="picked"
          x={pickedBox.minX - 5}
          y={pickedBox.minY - 5}
          width={pickedBox.maxX - pickedBox.minX + 10}
          height={pickedBox.maxY - pickedBox.minY + 10}
        />
      )}
      {findings.map(({ at, label }, i) => (
        <path key={`f${i}`} class="finding" d={triangle(at)}>
          <title>{label}</title>
        </path>
      ))}
      {witness.map(({ name, at }) => (
        <g key={name}>
          <path class="halo" d={saltire(at)} />
          <path class="wit" d={saltire(at)} />
        </g>
      ))}
      {touches.map(({ at, foot, number }) => (
        <g key={number} class={of.lit === `touch ${number}` ? 'lit' : ''}>
          <path class="tch" d={diamond(foot)} />
          <Arrow
            from={foot}
            to={{ x: foot.x + (at.x - foot.x) * factor, y: foot.y + (at.y - foot.y) * factor }}
          />
        </g>
      ))}
      {marks.map(({ name, at, fitted }) => {
        const tip = fitted === undefined ? at : px(sum(fitted.at, fitted.residual, factor));
        return (
          // biome-ignore lint/a11y/noStaticElementInteractions: the row of the mark is reached with keys in the field book
          <g
            key={name}
            class={`mark ${of.lit === `mark ${name}` ? 'lit' : ''} ${fitted === undefined ? 'unread' : ''}`}
            data-goto={name}
            onClick={(event) => {
              if (sheet.roles !== undefined) return;
              event.stopPropagation();
              goToRow(name);
            }}
          >
            {of.lit === `mark ${name}` ? <circle class="litring" cx={at.x} cy={at.y} r="13" /> : null}
            <circle class="mk" cx={at.x} cy={at.y} r={signs.mark.ring} />
            <circle class="mkd" cx={at.x} cy={at.y} r={signs.mark.dot} />
            <Arrow from={at} to={tip} />
            <circle class="hit" cx={at.x} cy={at.y} r="22" />
          </g>
        );
      })}
      {texts.map(({ text, x, y, size: s }, i) => (
        <text
          key={`t${text}${i}`}
          class={i < marks.length ? 'st' : 'wl'}
          x={x}
          y={y}
          style={i < marks.length && s !== 19 ? { fontSize: `${s}px` } : undefined}
        >
          {text}
        </text>
      ))}
    </g>
  );
};

const sum = (a: Point, b: Point, factor: number): Point => ({ x: a.x + b.x * factor, y: a.y + b.y * factor });

const goToRow = (mark: string): void => {
  const input = document.querySelector<HTMLInputElement>(`[data-mark="${CSS.escape(mark)}"] input`);
  input?.scrollIntoView({ block: 'nearest' });
  input?.focus();
  input?.select();
  put({ lit: `mark ${mark}` });
};

const boxPx = (frame: Frame, box: Box): Box => boxThrough(frame.toPx, box);

/** Each number outside of the part, on the side that is nearest, apart from the others. */
const bulletsOf = (
  places: readonly Point[],
  part: Box,
  width: number,
  height: number,
): { from: Point; at: Point }[] => {
  const taken: Point[] = [];
  return places.map((from) => {
    const sides: { at: Point; far: number; along: 'x' | 'y' }[] = [
      { at: { x: from.x, y: Math.max(14, part.minY - 18) }, far: from.y - part.minY, along: 'x' },
      {
        at: { x: from.x, y: Math.min(height - axisFoot - 15, part.maxY + 18) },
        far: part.maxY - from.y,
        along: 'x',
      },
      { at: { x: Math.min(width - 14, part.maxX + 20), y: from.y }, far: part.maxX - from.x, along: 'y' },
      { at: { x: Math.max(axisLeft + 16, part.minX - 20), y: from.y }, far: from.x - part.minX, along: 'y' },
    ];
    const isFree = (p: Point): boolean =>
      p.x > axisLeft + 12 &&
      p.x < width - 12 &&
      p.y > 12 &&
      p.y < height - axisFoot - 12 &&
      taken.every((q) => Math.hypot(p.x - q.x, p.y - q.y) > 26);
    const options = [...sides].sort((a, b) => a.far - b.far);
    for (const { at, along } of options)
      for (const off of [0, 28, -28, 56, -56]) {
        const moved = along === 'x' ? { x: at.x + off, y: at.y } : { x: at.x, y: at.y + off };
        if (!isFree(moved)) continue;
        taken.push(moved);
        return { from, at: moved };
      }
    return { from, at: options[0]!.at };
  });
};
