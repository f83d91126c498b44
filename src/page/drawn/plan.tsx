/** The plan: the part on the bed with what the readings are off by, and its margins, under stated exaggerations. */
import { Gesture } from '@use-gesture/vanilla';
import type { JSX, VNode } from 'preact';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Box, Matrix, Point } from '../../index.js';
import { written } from '../kept/job-edit.js';
import { shapeAt } from '../kept/role-lines.js';
import { choose, put, type Sheet, sheet } from '../sheet.js';
import { RoleStrip } from '../sheets/roles.js';
import { roundBelow } from '../text.js';
import type { DrawingView, OpeningView, ShapeView } from '../work/answers.js';
import { beginTouch } from './book.js';
import { type Ellipse, inverse, svgMatrix } from './matrix.js';
import {
  apply,
  boxThrough,
  compose,
  type Frame,
  frameOf,
  type Label,
  moved,
  placeLabels,
  type Room,
  squareAt,
  ticksOf,
  whole,
  type Zoom,
  zoomedAt,
} from './plan-frame.js';
import { useSize } from './use-size.js';

const identity: Matrix = [1, 0, 0, 1, 0, 0];

/** What is drawn of a sheet, wherever: on the screen or on paper. */
interface PlanPicture {
  readonly drawing: DrawingView;
  readonly sheet: Sheet;
  readonly width: number;
  readonly height: number;
  readonly zoom: Zoom;
  readonly onPaper?: boolean;
}

export interface Exaggeration {
  readonly errors: number;
  readonly margins: number;
}

export const exaggerationOf = ({ shown }: Sheet, box: Box): Exaggeration => {
  const { placed, judged, settings } = shown;
  const size = Math.max(box.maxX - box.minX, box.maxY - box.minY);
  const lengths = [
    ...(placed?.marks ?? []).flatMap(({ residual, ellipse }) => [
      Math.hypot(residual.x, residual.y),
      ellipse?.long ?? 0,
    ]),
    ...(judged?.details ?? []).flatMap(({ ellipseOnPlan }) => ellipseOnPlan?.long ?? 0),
    ...(placed?.touches ?? []).map(({ residual }) => Math.abs(residual)),
  ];
  const largest = Math.max(1e-9, ...lengths);
  const clearance = Math.max(1e-9, settings?.clearance ?? 0.5);
  return { errors: roundBelow((0.06 * size) / largest), margins: roundBelow((0.009 * size) / clearance) };
};

export const displayBox = (drawing: DrawingView, place: Matrix): Box => {
  const shown = drawing.shapes.filter(({ role }) => role === 'outline');
  const used = shown.length > 0 ? shown : drawing.shapes;
  const boxes = used.map(({ box }) => box);
  const marks = drawing.marks.map(({ at }) => squareAt(at, 1));
  const all = [...boxes, ...marks];
  const box = all.length === 0 ? drawing.box : all.reduce(join);
  return boxThrough(place, box);
};

const join = (a: Box, b: Box): Box => ({
  minX: Math.min(a.minX, b.minX),
  minY: Math.min(a.minY, b.minY),
  maxX: Math.max(a.maxX, b.maxX),
  maxY: Math.max(a.maxY, b.maxY),
});

const isInDoubt = ({ shown }: Sheet): boolean => (shown.placed?.doubt?.marks.length ?? 0) > 0;

export const roomOf = (width: number, height: number): Room => {
  const small = width < 420;
  return { width, height, left: 76, right: small ? 32 : 40, top: 40, bottom: 66 };
};

export const Plan = (): JSX.Element => {
  const [ref, [width, height]] = useSize<HTMLDivElement>([600, 600]);
  const [zoom, setZoom] = useState<Zoom>(whole);
  const { shown } = sheet;
  const { drawing } = shown;
  const latest = useRef({ zoom, frame: undefined as Frame | undefined });
  const key = drawing?.name;
  useEffect(() => setZoom(whole), [key]);
  const place = shown.placed?.place ?? identity;
  const upwards = (shown.settings?.axes ?? 'y-up') === 'y-up';
  const box = drawing === undefined ? undefined : displayBox(drawing, place);
  const frame = box === undefined ? undefined : frameOf(box, roomOf(width, height), zoom, upwards);
  latest.current = { zoom, frame };
  useGestures(ref, latest, setZoom);
  const exaggeration = box === undefined ? undefined : exaggerationOf(sheet, box);
  return (
    <figure class={`plan ${isInDoubt(sheet) ? 'unsure' : ''}`} aria-label="Plan">
      <figcaption>
        <span class="ttl">Plan</span>
        <Legend exaggeration={exaggeration} />
      </figcaption>
      <UnitAsk />
      <RoleStrip />
      {/* biome-ignore lint/a11y/useSemanticElements: a fieldset is for fields */}
      <div
        class="canvas"
        ref={ref}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the plan is moved and zoomed with keys
        tabIndex={0}
        role="group"
        aria-label="Plan: plus and minus zoom, arrows move, 0 shows all"
        onKeyDown={(event) => {
          if (frame === undefined || event.target !== event.currentTarget) return;
          const next = zoomByKey(event.key, zoom, frame);
          if (next === undefined) return;
          event.preventDefault();
          setZoom(next);
        }}
      >
        {drawing === undefined ? null : (
          <PlanSvg drawing={drawing} sheet={sheet} width={width} height={height} zoom={zoom} />
        )}
        {zoom.k === 1 ? null : (
          <button type="button" class="fitall" onClick={() => setZoom(whole)}>
            Whole plan
          </button>
        )}
      </div>
    </figure>
  );
};

/** A drawing that counts px, or states no unit: its size is said, to be held against the panel. */
const UnitAsk = (): JSX.Element | null => {
  const { drawing, fault } = sheet.shown;
  const { job } = sheet.state.work;
  const isMissing =
    drawing === undefined && fault !== undefined && /unit/.test(`${fault.found} ${fault.next}`);
  if (!isMissing && drawing?.asksUnit !== true) return null;
  const size = drawing?.facts.replace(/, .*$/, '');
  return (
    <div class="unitask">
      <label for="unit">
        {size === undefined
          ? 'The drawing states no unit. Unit of the drawing'
          : `Is it ${size}? Else the unit of the drawing`}
      </label>
      <select
        id="unit"
        value={written(job, ['units']) ?? ''}
        onChange={(e) => choose(['units'], e.currentTarget.value || undefined)}
      >
        <option value="">choose</option>
        {['mm', 'cm', 'in', 'px', 'pt', 'm'].map((unit) => (
          <option key={unit}>{unit}</option>
        ))}
      </select>
    </div>
  );
};

const zoomByKey = (key: string, zoom: Zoom, frame: Frame): Zoom | undefined => {
  const { inner } = frame;
  const middle = { x: (inner.minX + inner.maxX) / 2, y: (inner.minY + inner.maxY) / 2 };
  switch (key) {
    case '+':
    case '=':
      return zoomedAt(zoom, frame, middle, 1.5);
    case '-':
      return zoomedAt(zoom, frame, middle, 1 / 1.5);
    case '0':
      return whole;
    case 'ArrowLeft':
      return moved(zoom, frame, 40, 0);
    case 'ArrowRight':
      return moved(zoom, frame, -40, 0);
    case 'ArrowUp':
      return moved(zoom, frame, 0, 40);
    case 'ArrowDown':
      return moved(zoom, frame, 0, -40);
    default:
      return undefined;
  }
};

/** Wheel and pinch zoom about the hand; a drag moves what is zoomed. */
const useGestures = (
  ref: { readonly current: HTMLDivElement | null },
  latest: { readonly current: { zoom: Zoom; frame: Frame | undefined } },
  setZoom: (zoom: Zoom) => void,
): void => {
  useEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const at = (x: number, y: number): Point => {
      const { left, top } = element.getBoundingClientRect();
      return { x: x - left, y: y - top };
    };
    const gesture = new Gesture(
      element,
      {
        onDrag: ({ delta: [dx, dy], pinching, tap }) => {
          const { zoom, frame } = latest.current;
          if (frame !== undefined && zoom.k > 1 && pinching !== true && !tap)
            setZoom(moved(zoom, frame, dx, dy));
        },
        onPinch: ({ origin: [x, y], delta: [d], offset: [s], event }) => {
          const { zoom, frame } = latest.current;
          if (frame === undefined || event.type === 'wheel') return;
          setZoom(zoomedAt(zoom, frame, at(x, y), s / Math.max(1e-6, s - d)));
        },
        onWheel: ({ event, delta: [, dy], last }) => {
          const { zoom, frame } = latest.current;
          if (frame === undefined || last) return;
          event.preventDefault();
          setZoom(zoomedAt(zoom, frame, at(event.clientX, event.clientY), Math.exp(-dy * 0.0016)));
        },
      },
      {
        drag: { filterTaps: true, pointer: { keys: false } },
        wheel: { eventOptions: { passive: false } },
        pinch: { scaleBounds: { min: 0.01, max: 1000 } },
      },
    );
    return () => gesture.destroy();
  }, []);
};

const Legend = ({ exaggeration }: { readonly exaggeration: Exaggeration | undefined }): JSX.Element => {
  const { placed, judged, settings, cut } = sheet.shown;
  if (placed === undefined || exaggeration === undefined)
    return <span>{sheet.shown.drawing === undefined ? '' : 'as drawn; nothing is placed yet'}</span>;
  const verdicts = new Set(judged?.openings.map(({ verdict }) => verdict));
  const doubted = isInDoubt(sheet);
  const hasBand = settings?.kind !== 'as-drawn' && judged !== undefined && !doubted;
  return (
    <>
      <span>
        <svg width="24" height="8" aria-hidden="true">
          <path class="arr" d="M1,4H15" />
          <path class="head" d="M23,4L14,1V7Z" />
        </svg>
        off by
      </span>
      <span>
        <svg width="24" height="12" aria-hidden="true">
          <ellipse class="ell" cx="12" cy="6" rx="11" ry="5" />
        </svg>
        error, 95 of 100; both ×{exaggeration.errors}
      </span>
      {doubted ? <span>margins not judged</span> : null}
      {hasBand ? (
        <span>
          <svg width="24" height="9" aria-hidden="true">
            <rect class="lg-b" x=".6" y=".6" width="22.8" height="7.8" />
          </svg>
          margin ×{exaggeration.margins}
        </span>
      ) : null}
      {hasBand && verdicts.has('too-close') ? (
        <span>
          <svg width="24" height="9" aria-hidden="true">
            <rect class="lg-h" x=".6" y=".6" width="22.8" height="7.8" fill="url(#half-screen)" />
          </svg>
          may touch
        </span>
      ) : null}
      {hasBand && verdicts.has('does-not-fit') ? (
        <span>
          <svg width="24" height="9" aria-hidden="true">
            <rect class="lg-n" width="24" height="9" />
          </svg>
          does not fit
        </span>
      ) : null}
      {(cut?.findings.length ?? 0) > 0 ? (
        <span>
          <svg width="16" height="14" aria-hidden="true">
            <path class="finding" d="M8,0l7,13h-14Z" />
          </svg>
          damage
        </span>
      ) : null}
    </>
  );
};

export const PlanSvg = (picture: PlanPicture): JSX.Element => {
  const { drawing, sheet: of, width, height, zoom, onPaper = false } = picture;
  const { placed, settings, judged } = of.shown;
  const place = placed?.place ?? identity;
  const upwards = (settings?.axes ?? 'y-up') === 'y-up';
  const box = displayBox(drawing, place);
  const frame = frameOf(box, roomOf(width, height), zoom, upwards);
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
          <rect x={roomOf(width, height).left - 26} y="0" width={width} height={Math.max(0, height - 40)} />
        </clipPath>
      </defs>
      <Axes frame={frame} width={width} height={height} upwards={upwards} isBed={placed !== undefined} />
      <g clip-path={`url(#clip-${id})`}>
        <g
          class="shapes"
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
  const shape = (event.target as Element).closest<SVGPathElement>('[data-shape]');
  if (shape === null) return;
  const of = drawing.shapes.find(({ id }) => id === shape.dataset.shape);
  if (of === undefined || of.role === 'mark') return;
  const near = nearestOn(shape, at);
  if (near === undefined || near.distance * Math.hypot(toPx[0], toPx[1]) > tapReach) return;
  beginTouch(of.role === 'outline' ? 'outline' : of.id, [near.x, near.y]);
};

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
  const left = roomOf(width, height).left - 40;
  const foot = height - 32;
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

const Signs = ({ picture, frame, box, exaggeration }: SignsProps): VNode => {
  const { drawing, sheet: of, width, height, onPaper = false } = picture;
  const { placed, judged, cut } = of.shown;
  const px = (p: Point): Point => apply(frame.toPx, p);
  const factor = exaggeration.errors;
  const middle = px({ x: (box.minX + box.maxX) / 2, y: (box.minY + box.maxY) / 2 });
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
  const size = onPaper ? 15 : 19;
  const labels: Label[] = [
    ...marks.map(({ name, at }) => ({
      text: name,
      at,
      clear: clearOf(at, corners, middle),
      size,
      spots: at.x < middle.x ? leftFirst : rightFirst,
    })),
    ...witness.map(({ name, at }) => ({ text: name, at, clear: 10, size: 13 })),
  ];
  const taken = [
    ...marks.map(({ at }) => squareAt(at, 8)),
    ...witness.map(({ at }) => squareAt(at, 6)),
    ...bullets.map(({ at }) => squareAt(at, 12)),
  ];
  const texts = placeLabels(labels, taken, { minX: 30, minY: 4, maxX: width - 2, maxY: height - 36 });
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
        <path key={`f${i}`} class="finding" d={`M${at.x},${at.y - 8}l7,13h-14Z`}>
          <title>{label}</title>
        </path>
      ))}
      {witness.map(({ name, at }) => (
        <g key={name}>
          <path class="halo" d={saltire(at, 5)} />
          <path class="wit" d={saltire(at, 5)} />
        </g>
      ))}
      {touches.map(({ at, foot, number }) => (
        <g key={number} class={of.lit === `touch ${number}` ? 'lit' : ''}>
          <circle class="tch" cx={foot.x} cy={foot.y} r="4.5" />
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
          // biome-ignore lint/a11y/useKeyWithClickEvents: the row of the mark is reached with keys in the field book
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
            <circle class="mk" cx={at.x} cy={at.y} r="5.2" />
            <circle class="mkd" cx={at.x} cy={at.y} r="1.5" />
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
          style={i < marks.length && onPaper ? { fontSize: `${s}px` } : undefined}
        >
          {text}
        </text>
      ))}
    </g>
  );
};

/** Letters of marks near the edge stand outside of the part. */
const clearOf = (at: Point, part: Box, middle: Point): number => {
  const far = at.x < middle.x ? at.x - part.minX : part.maxX - at.x;
  return far > 0 && far < 60 ? Math.max(18, far + 10) : 19;
};

const leftFirst = [
  [-1, 0],
  [-0.75, -0.75],
  [-0.75, 0.75],
  [0, -1],
  [0, 1],
  [1, 0],
] as const;
const rightFirst = [
  [1, 0],
  [0.75, -0.75],
  [0.75, 0.75],
  [0, -1],
  [0, 1],
  [-1, 0],
] as const;

const sum = (a: Point, b: Point, factor: number): Point => ({ x: a.x + b.x * factor, y: a.y + b.y * factor });

const saltire = ({ x, y }: Point, arm: number): string =>
  `M${x - arm},${y - arm}l${2 * arm},${2 * arm}m0,${-2 * arm}l${-2 * arm},${2 * arm}`;

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
      { at: { x: from.x, y: Math.min(height - 48, part.maxY + 18) }, far: part.maxY - from.y, along: 'x' },
      { at: { x: Math.min(width - 14, part.maxX + 20), y: from.y }, far: part.maxX - from.x, along: 'y' },
      { at: { x: Math.max(50, part.minX - 20), y: from.y }, far: from.x - part.minX, along: 'y' },
    ];
    const isFree = (p: Point): boolean => taken.every((q) => Math.hypot(p.x - q.x, p.y - q.y) > 26);
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
