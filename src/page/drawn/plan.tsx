/** The plan on the sheet: zoomed and moved, with its legend and what has to be asked of the drawing. */
import { Gesture } from '@use-gesture/vanilla';
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { type Point, triangle } from '../../internal.js';
import { written } from '../kept/job-edit.js';
import { choose } from '../kept/values.js';
import { sheet } from '../sheet.js';
import { RoleStrip } from '../sheets/roles.js';
import { type Frame, frameOf, moved, whole, type Zoom, zoomedAt } from './plan-frame.js';
import {
  displayBox,
  type Exaggeration,
  exaggerationOf,
  identity,
  isInDoubt,
  namesWidth,
  roomOf,
} from './plan-picture.js';
import { PlanSvg } from './plan-svg.js';
import { useSize } from './use-size.js';

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
  const room = roomOf(width, height, namesWidth(drawing?.marks ?? [], false));
  const frame = box === undefined ? undefined : frameOf(box, room, zoom, upwards);
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
  latest: { current: { zoom: Zoom; frame: Frame | undefined } },
  setZoom: (zoom: Zoom) => void,
): void => {
  useEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const at = (x: number, y: number): Point => {
      const { left, top } = element.getBoundingClientRect();
      return { x: x - left, y: y - top };
    };
    /** Several events may come before the next drawing: each goes on from the one before it. */
    const go = (zoom: Zoom): void => {
      latest.current = { ...latest.current, zoom };
      setZoom(zoom);
    };
    const gesture = new Gesture(
      element,
      {
        onDrag: ({ delta: [dx, dy], pinching, tap }) => {
          const { zoom, frame } = latest.current;
          if (frame !== undefined && zoom.k > 1 && pinching !== true && !tap) go(moved(zoom, frame, dx, dy));
        },
        onPinch: ({ origin, delta: [d], offset: [s], event, first, memo }) => {
          const { zoom, frame } = latest.current;
          if (frame === undefined || event.type === 'wheel') return origin;
          // What lies between the fingers goes with them, and grows about it.
          const [x, y] = origin;
          const [fromX, fromY] = (first ? origin : (memo ?? origin)) as typeof origin;
          const taken = zoom.k === 1 ? zoom : moved(zoom, frame, x - fromX, y - fromY);
          go(zoomedAt(taken, frame, at(x, y), s / Math.max(1e-6, s - d)));
          return origin;
        },
        onWheel: ({ event, delta: [, dy], last }) => {
          const { zoom, frame } = latest.current;
          if (frame === undefined || last) return;
          event.preventDefault();
          go(zoomedAt(zoom, frame, at(event.clientX, event.clientY), Math.exp(-dy * 0.0016)));
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
  const hasBand = settings?.kind === 'opening' && judged !== undefined && !doubted;
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
            <path class="finding" d={triangle({ x: 8, y: 9 })} />
          </svg>
          damage
        </span>
      ) : null}
    </>
  );
};
