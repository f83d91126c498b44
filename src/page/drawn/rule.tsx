/** The clearance as a rule: what error eats is solid, what is left up to the given one is hollow; where lands are gone it ends. */
import type { JSX } from 'preact';
import { useRef } from 'preact/hooks';
import { choose } from '../kept/values.js';
import { client, put, type Sheet, sheet } from '../sheet.js';
import { fixed } from '../text.js';
import { faultOfValue, ValueField } from './field.js';
import { textWidth } from './plan-picture.js';
import { useSize } from './use-size.js';

const keyOf = (of: Sheet): readonly string[] =>
  of.shown.settings?.kind === 'as-drawn' ? ['check', 'allowed-deviation'] : ['cut', 'clearance'];

export const RuleCell = (): JSX.Element => {
  const { shown } = sheet;
  const { settings } = shown;
  const asDrawn = settings?.kind === 'as-drawn';
  return (
    <div class="rule">
      <div class="figures">
        <div class="figure">
          <span>{asDrawn ? 'May lie off by, mm' : 'Clearance, mm'}</span>
          <ValueField
            of={keyOf(sheet)}
            label={asDrawn ? 'Allowed deviation' : 'Clearance'}
            otherwise={settings === undefined ? '0.5' : asDrawn ? 'not said' : fixed(settings.clearance, 2)}
          />
        </div>
        {asDrawn ? null : (
          <div class="figure">
            <span>Kerf, mm</span>
            <ValueField
              of={['cut', 'kerf']}
              label="Kerf"
              otherwise={settings === undefined ? 'not known' : fixed(settings.kerf, 2)}
            />
          </div>
        )}
        <div class="figure">
          <span>Reading error, sd in mm</span>
          <ValueField
            of={['fit', 'reading-sd']}
            label="Reading error"
            otherwise={settings?.readingSd === undefined ? 'estimated' : fixed(settings.readingSd, 2)}
          />
        </div>
      </div>
      <Rule of={sheet} />
    </div>
  );
};

export interface RuleScale {
  readonly most: number;
  readonly given: number;
  readonly needed: number | undefined;
  readonly gone: number | undefined;
  readonly beyond: boolean;
}

export const ruleScale = (of: Sheet): RuleScale => {
  const { settings, judged, gone } = of.shown;
  const resting = settings?.clearance ?? 0.5;
  const given = of.sliding ?? resting;
  const needed = judged?.json.neededClearance ?? undefined;
  const wide = Math.max(0.2, 1.5 * resting, 1.2 * (gone !== undefined && gone < 8 * resting ? gone : 0));
  const reach = needed !== undefined && needed < 4 * wide ? 1.15 * needed : 0;
  const beyond = needed !== undefined && needed >= 4 * wide;
  const most = Math.ceil(20 * Math.max(wide, reach)) / 20;
  return { most, given, needed, gone, beyond };
};

export const Rule = ({
  of,
  onPaper = false,
}: {
  readonly of: Sheet;
  readonly onPaper?: boolean;
}): JSX.Element => {
  const [ref, [width]] = useSize<HTMLDivElement>([480, 80]);
  return (
    <div class="rulebox" ref={ref}>
      <RuleSvg of={of} width={onPaper ? 260 : width} onPaper={onPaper} />
    </div>
  );
};

export const RuleSvg = ({
  of,
  width,
  onPaper,
}: {
  readonly of: Sheet;
  readonly width: number;
  readonly onPaper: boolean;
}): JSX.Element => {
  const dragging = useRef(false);
  const { most, given, needed, gone, beyond } = ruleScale(of);
  const { shown } = of;
  const doubted = shown.placed?.doubt !== undefined;
  const isUnknown = shown.judged === undefined;
  const w = Math.max(60, width - 2);
  const x = (mm: number): number => 1 + Math.min(1, Math.max(0, mm / most)) * w;
  const step =
    [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].find((one) => (one / most) * w >= 11) ?? 100;
  const named = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100].find((one) => (one / most) * w >= 62) ?? 500;
  const ticks = Array.from({ length: Math.floor(most / step + 1e-9) + 1 }, (_, i) => i * step);
  const figures = Array.from({ length: Math.floor(most / named + 1e-9) + 1 }, (_, i) => i * named);
  const isNamed = (v: number): boolean => Math.abs(v / named - Math.round(v / named)) < 1e-6;
  const decimals = named < 0.1 ? 2 : 1;
  const ticksD = ticks.map((v) => `M${x(v)},49v${isNamed(v) ? 8 : 5}`).join('');
  const g = x(given);
  const givenWidth = textWidth(`${fixed(given, 2)} given`, 16);
  const givenEnd = g > 11 + givenWidth;
  const givenSpan = givenEnd ? [g - 11 - givenWidth, g + 7] : [g - 7, g + 11 + givenWidth];
  const neededX = needed === undefined ? undefined : x(needed);
  const neededWidth = textWidth(`${fixed(needed, 2)} needed`, 14);
  const isAtEnd = neededX !== undefined && neededX + neededWidth > width;
  const beyondText =
    needed !== undefined && (beyond || doubted) ? beyondWords(doubted, beyond, needed) : undefined;
  const neededSpan =
    neededX === undefined
      ? undefined
      : beyondText !== undefined
        ? [width - 1 - textWidth(beyondText, 14, 'normal'), width]
        : isAtEnd
          ? [neededX - neededWidth, neededX]
          : [neededX, neededX + neededWidth];
  const clash = (v: number): boolean => {
    if (neededSpan === undefined) return false;
    const long = textWidth(v.toFixed(decimals), 13, 'normal');
    const left = v === 0 ? x(v) : x(v) > w - 10 ? x(v) - long : x(v) - long / 2;
    return left < neededSpan[1]! + 8 && left + long > neededSpan[0]! - 8;
  };
  const goneLabel =
    gone === undefined || gone > most ? undefined : goneWords(gone, x(gone), width, givenSpan);
  const move = (event: PointerEvent): void => {
    const { left } = (event.currentTarget as Element).closest('svg')!.getBoundingClientRect();
    slide(((event.clientX - left - 1) / w) * most, most);
  };
  return (
    // biome-ignore lint/a11y/noSvgWithoutTitle: what it shows stands in its text
    <svg class="rulesvg" width={width} height="78" viewBox={`0 0 ${width} 78`}>
      <defs>
        <pattern
          id={`gone-${onPaper ? 'p' : 's'}`}
          width="6"
          height="6"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <path class="r-h" d="M0,0V6" />
        </pattern>
      </defs>
      <rect
        class={`r-band ${doubted || isUnknown ? 'q' : ''}`}
        x={x(0)}
        y="29"
        width={g - x(0)}
        height="16"
      />
      {needed === undefined || doubted || beyond ? null : (
        <rect class="r-need" x={x(0)} y="29" width={Math.max(0, neededX! - x(0))} height="16" />
      )}
      {gone === undefined || gone > most ? null : (
        <>
          <path class="r-gone" d={`M${x(gone)},14V47`} />
          <rect
            fill={`url(#gone-${onPaper ? 'p' : 's'})`}
            x={x(gone)}
            y="29"
            width={Math.max(0, x(most) - x(gone))}
            height="16"
          />
          {goneLabel === undefined ? null : (
            <text class="r-v" x={goneLabel.x} y="12">
              {goneLabel.text}
            </text>
          )}
        </>
      )}
      <path class="r-tick" d={`M${x(0)},49H${x(most)}${ticksD}`} />
      {figures.map((v) =>
        clash(v) ? null : (
          <text
            key={v}
            class="r-v"
            x={x(v)}
            y="72"
            text-anchor={v === 0 ? 'start' : x(v) > w - 10 ? 'end' : 'middle'}
          >
            {v === 0 ? '0' : v.toFixed(decimals)}
          </text>
        ),
      )}
      {needed === undefined ? null : beyondText !== undefined ? (
        <text class="r-n" x={width - 1} y="72" text-anchor="end">
          {beyondText}
        </text>
      ) : (
        <>
          <path class="r-nt" d={`M${neededX!},27V58`} />
          <text class="r-n" x={neededX!} y="72" text-anchor={isAtEnd ? 'end' : 'start'}>
            <tspan class="b">{fixed(needed, 2)}</tspan> needed
          </text>
        </>
      )}
      <path class="r-given" d={`M${g},20V47`} />
      <text class="r-g" x={givenEnd ? g - 11 : g + 11} y="22" text-anchor={givenEnd ? 'end' : 'start'}>
        <tspan class="b">{fixed(given, 2)}</tspan> given
      </text>
      <path class="r-grip" d={`M${g - 6.5},13h13l-6.5,9Z`} />
      {onPaper || shown.settings === undefined ? null : (
        <rect
          class="r-hit"
          x={g - 22}
          y="4"
          width="44"
          height="46"
          tabindex={0}
          role="slider"
          aria-label="Given on the rule"
          aria-valuemin={0}
          aria-valuemax={most}
          aria-valuenow={Number(given.toFixed(2))}
          aria-valuetext={`${fixed(given, 2)} mm`}
          onPointerDown={(event) => {
            dragging.current = true;
            (event.currentTarget as Element).setPointerCapture(event.pointerId);
          }}
          onPointerMove={(event) => {
            if (dragging.current) move(event);
          }}
          onPointerUp={() => {
            dragging.current = false;
            letGo();
          }}
          onPointerCancel={() => {
            dragging.current = false;
            put({ sliding: undefined });
          }}
          onKeyDown={(event) => {
            const by = steps[event.key];
            if (by === undefined) return;
            event.preventDefault();
            slide(by === 0 ? 0.01 : by === 1000 ? most : given + by, most);
          }}
          onKeyUp={(event) => {
            if (steps[event.key] !== undefined) letGo();
          }}
        />
      )}
    </svg>
  );
};

/** Beside its tick, clear of what is given; in few words where there is little room, in none where there is none. */
const goneWords = (
  gone: number,
  at: number,
  width: number,
  givenSpan: readonly number[],
): { readonly x: number; readonly text: string } | undefined => {
  for (const words of [`${fixed(gone, 2)}, the thinnest land is gone`, `${fixed(gone, 2)} land gone`]) {
    const long = textWidth(words, 13, 'normal');
    for (const left of [width - 1 - long, at + 5, at - 5 - long]) {
      const isFree = left + long < givenSpan[0]! - 6 || left > givenSpan[1]! + 6;
      if (left >= 0 && left + long <= width && left <= at + 6 && left + long >= at - 6 && isFree)
        return { x: left, text: words };
    }
  }
  return undefined;
};

const beyondWords = (doubted: boolean, beyond: boolean, needed: number): string =>
  `needed${doubted && !beyond ? ' as typed' : ''}: ${beyond ? 'off scale' : fixed(needed, 2)}`;

const steps: Readonly<Record<string, number>> = {
  ArrowLeft: -0.01,
  ArrowDown: -0.01,
  ArrowRight: 0.01,
  ArrowUp: 0.01,
  PageDown: -0.1,
  PageUp: 0.1,
  Home: 0,
  End: 1000,
};

const slide = (mm: number, most: number): void => {
  const clearance = Math.round(100 * Math.min(most, Math.max(0.01, mm))) / 100;
  if (clearance === sheet.sliding) return;
  put({ sliding: clearance });
  if (faultOfValue(keyOf(sheet)) !== undefined) return;
  client.ask({ kind: 'slide', clearance }, (answer) => {
    if (answer.stage !== 'slid' || sheet.sliding === undefined) return;
    const { word, explanation, openings } = answer;
    put({ shown: { ...sheet.shown, slid: { clearance, word, explanation, openings } } });
  });
};

const letGo = (): void => {
  const { sliding, shown } = sheet;
  if (sliding === undefined) return;
  put({ sliding: undefined, shown: { ...shown, settings: { ...shown.settings!, clearance: sliding } } });
  choose(keyOf(sheet), { value: sliding, decimals: sliding * 10 === Math.round(sliding * 10) ? 1 : 2 });
};
