/** The plan as a picture: axes, the part and its margins; a tap on an edge begins a touch there. */
import type { JSX } from 'preact';
import { useMemo } from 'preact/hooks';
import type { Box, Matrix, Point } from '../../internal.js';
import { beginTouch } from '../book/touches.js';
import { shapeAt } from '../kept/role-lines.js';
import { put, sheet } from '../sheet.js';
import type { DrawingView, OpeningView, ShapeView } from '../work/answers.js';
import { inverse, svgMatrix } from './matrix.js';
import { apply, compose, type Frame, frameOf, ticksOf } from './plan-frame.js';
import {
  axisFoot,
  axisLeft,
  displayBox,
  exaggerationOf,
  identity,
  isInDoubt,
  namesWidth,
  type PlanPicture,
  roomOf,
} from './plan-picture.js';
import { Signs } from './plan-signs.js';

export const PlanSvg = (picture: PlanPicture): JSX.Element => {
  const { drawing, sheet: of, width, height, zoom, onPaper = false } = picture;
  const { placed, settings, judged } = of.shown;
  const place = placed?.place ?? identity;
  const upwards = (settings?.axes ?? 'y-up') === 'y-up';
  const box = displayBox(drawing, place);
  const frame = frameOf(box, roomOf(width, height, namesWidth(drawing.marks, onPaper)), zoom, upwards);
  const exaggeration = exaggerationOf(of, box);
  const doubted = isInDoubt(of);
  const id = onPaper ? 'paper' : 'screen';
  const clearance = of.sliding ?? settings?.clearance ?? 0;
  const band = 2 * clearance * exaggeration.margins + (settings?.pierced ?? 0);
  const hasBand = settings !== undefined && settings.kind === 'opening' && judged !== undefined && !doubted;
  const openings =
    of.sliding === undefined ? judged?.openings : (of.shown.slid?.openings ?? judged?.openings);
  const shapes = useMemo(
    () => <Shapes drawing={drawing} openings={openings} hasBand={hasBand} id={id} />,
    [drawing, openings, hasBand, id],
  );
  const toPx = compose(frame.toPx, place);
  const isHeavy = useMemo(
    () => drawing.shapes.reduce((sum, { d }) => sum + d.length, 0) > mostHovered,
    [drawing],
  );
  return (
    // biome-ignore lint/a11y/noSvgWithoutTitle: the figure round it has the name
    // biome-ignore lint/a11y/useKeyWithClickEvents: touches are begun with keys in the field book
    <svg
      class={placed === undefined ? 'unplaced' : doubted ? 'unsure' : ''}
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      onClick={onPaper ? undefined : (event) => tapped(event, toPx)}
    >
      <defs>
        <pattern
          id={`half-${id}`}
          width="5"
          height="5"
          patternUnits="userSpaceOnUse"
          patternTransform={`scale(${(onPaper ? 0.8 : 1) / 1}) rotate(45)`}
        >
          <rect class="p0" width="5" height="5" />
          <rect class="p1" width="2.4" height="5" />
        </pattern>
        <pattern
          id={`band-${id}`}
          width="5"
          height="5"
          patternUnits="userSpaceOnUse"
          patternTransform={`scale(${1 / frame.scale}) rotate(45)`}
        >
          <rect class="p0" width="5" height="5" />
          <rect class="p1" width="2.4" height="5" />
        </pattern>
        <clipPath id={`clip-${id}`}>
          <rect x={axisLeft + 1} y="0" width={width} height={Math.max(0, height - axisFoot - 1)} />
        </clipPath>
      </defs>
      <Axes frame={frame} width={width} height={height} upwards={upwards} isBed={placed !== undefined} />
      <g clip-path={`url(#clip-${id})`}>
        <g
          class={`shapes ${isHeavy ? 'heavy' : ''}`}
          transform={svgMatrix(toPx)}
          style={{
            '--band': String(band),
            '--rim': String(band + 2.6 / frame.scale),
            '--half': `url(#band-${id})`,
          }}
        >
          {shapes}
        </g>
        <Signs picture={picture} frame={frame} box={box} exaggeration={exaggeration} />
      </g>
    </svg>
  );
};

/** Letters of path data: of more the browser takes too long, at each frame, to tell what lies under the pointer. */
const mostHovered = 200_000;

const pathsOf = (shapes: readonly ShapeView[]): string => shapes.map(({ d }) => d).join('');

/** Everything that moves with the part: drawn once for each drawing and verdict. */
const Shapes = ({
  drawing,
  openings,
  hasBand,
}: {
  readonly drawing: DrawingView;
  readonly openings: readonly OpeningView[] | undefined;
  readonly hasBand: boolean;
  readonly id: string;
}): JSX.Element => {
  const of = (role: ShapeView['role']) => drawing.shapes.filter((shape) => shape.role === role);
  const own = of('opening');
  const verdicts = new Map(openings?.map(({ id, verdict }) => [id, verdict]));
  const having = (verdict: string) => own.filter(({ id }) => (verdicts.get(id) ?? 'fits') === verdict);
  return (
    <>
      {of('outline').map(({ id, d }) => (
        <path key={id} class="panel" data-shape={id} d={d}>
          <title>{id}</title>
        </path>
      ))}
      {of('unused').map(({ id, d }) => (
        <path key={id} class="unused" data-shape={id} d={d}>
          <title>{id}</title>
        </path>
      ))}
      {hasBand ? (
        <g class="bands">
          <path class="b-ink" d={pathsOf(own)} />
          <path class="b-fits" d={pathsOf(having('fits'))} />
          <path class="b-too-close" d={pathsOf(having('too-close'))} />
          <path class="b-does-not-fit" d={pathsOf(having('does-not-fit'))} />
        </g>
      ) : null}
      {own.map(({ id, d }) => (
        <path key={id} class={`open ${verdicts.get(id) ?? ''}`} data-shape={id} d={d}>
          <title>{id}</title>
        </path>
      ))}
      {of('mark').map(({ id, d }) => (
        <path key={id} class="drawnmark" data-shape={id} d={d} />
      ))}
    </>
  );
};

/** A tap on a drawn edge begins a touch there. */
const tapped = (event: MouseEvent, toPx: Matrix): void => {
  const { drawing } = sheet.shown;
  if (drawing === undefined) return;
  const svg = event.currentTarget as SVGSVGElement;
  const { left, top } = svg.getBoundingClientRect();
  const at = apply(inverse(toPx), { x: event.clientX - left, y: event.clientY - top });
  if (sheet.roles !== undefined) {
    const picked = shapeAt(drawing.shapes, at, tapReach / 2 / Math.hypot(toPx[0], toPx[1]));
    if (picked !== undefined) put({ roles: { role: sheet.roles.role, picked: picked.id } });
    return;
  }
  const scale = Math.hypot(toPx[0], toPx[1]);
  const near = drawing.shapes
    .filter(({ role, box }) => role !== 'mark' && isWithin(box, at, tapReach / scale))
    .sort((p, q) => areaOf(p.box) - areaOf(q.box))
    .slice(0, mostTried)
    .flatMap((shape) => {
      const path = svg.querySelector<SVGPathElement>(`[data-shape="${CSS.escape(shape.id)}"]`);
      const point = path === null ? undefined : nearestOn(path, at);
      return point === undefined ? [] : [{ shape, point }];
    })
    .reduce<{ shape: ShapeView; point: Point & { distance: number } } | undefined>(
      (best, one) => (best === undefined || one.point.distance < best.point.distance ? one : best),
      undefined,
    );
  if (near === undefined || near.point.distance * scale > tapReach) return;
  const { shape, point } = near;
  beginTouch(shape.role === 'outline' ? 'outline' : shape.id, [point.x, point.y]);
};

const isWithin = ({ minX, minY, maxX, maxY }: Box, { x, y }: Point, reach: number): boolean =>
  x > minX - reach && x < maxX + reach && y > minY - reach && y < maxY + reach;

const areaOf = ({ minX, minY, maxX, maxY }: Box): number => (maxX - minX) * (maxY - minY);

/** Of the shapes round a tap the smallest are tried. */
const mostTried = 12;

/** px: a finger is no pen. */
const tapReach = 22;

const nearestOn = (path: SVGPathElement, at: Point): (Point & { distance: number }) | undefined => {
  const total = path.getTotalLength();
  const parts = 400;
  let best: (Point & { distance: number }) | undefined;
  for (let i = 0; i <= parts; i++) {
    const { x, y } = path.getPointAtLength((total * i) / parts);
    const distance = Math.hypot(x - at.x, y - at.y);
    if (best === undefined || distance < best.distance) best = { x, y, distance };
  }
  return best;
};

const Axes = ({
  frame,
  width,
  height,
  upwards,
  isBed,
}: {
  readonly frame: Frame;
  readonly width: number;
  readonly height: number;
  readonly upwards: boolean;
  readonly isBed: boolean;
}): JSX.Element => {
  const left = axisLeft;
  const foot = height - axisFoot;
  const back = inverse(frame.toPx);
  const low = apply(back, { x: left, y: foot });
  const high = apply(back, { x: width - 12, y: 14 });
  const xs = ticksOf(low.x, high.x, width - left);
  const ys = ticksOf(Math.min(low.y, high.y), Math.max(low.y, high.y), foot);
  const px = (x: number): number => frame.toPx[0] * x + frame.toPx[4];
  const py = (y: number): number => frame.toPx[3] * y + frame.toPx[5];
  const seenX = xs.at.filter((x) => px(x) > left + 4 && px(x) < width - 14);
  const seenY = ys.at.filter((y) => py(y) < foot - 4 && py(y) > 14);
  const shownAs = (v: number, step: number): string =>
    v.toFixed(step < 0.1 ? 2 : step < 1 ? 1 : 0).replace('-', '−');
  const cross = seenX.map((x) => seenY.map((y) => `M${px(x) - 4},${py(y)}h8m-4,-4v8`).join('')).join('');
  return (
    <g class="axes">
      <path class="grid" d={cross} />
      <path class="axis" d={`M${left},14V${foot}H${width - 12}`} />
      <path
        class="axis"
        d={
          seenX.map((x) => `M${px(x)},${foot}v6`).join('') + seenY.map((y) => `M${left},${py(y)}h-6`).join('')
        }
      />
      <g class="num">
        {seenX.map((x) => (
          <text key={x} x={px(x)} y={foot + 20} text-anchor="middle">
            {shownAs(x, xs.step)}
          </text>
        ))}
        {seenY.map((y) => (
          <text key={y} x={left - 9} y={py(y) + 4} text-anchor="end">
            {shownAs(y, ys.step)}
          </text>
        ))}
        <text class="it" x={left + 8} y="22">
          y{upwards ? '' : ' ↓'}
        </text>
        <text class="it" x={width - 12} y={foot - 7} text-anchor="end">
          x{isBed ? '' : ', drawing'}
        </text>
      </g>
    </g>
  );
};
