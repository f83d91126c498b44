/** Three places at true proportion: existing edge, kerf, new edge and the error there; the first one decides the verdict. */
import type { JSX } from 'preact';
import { trySlips } from '../book/readings.js';
import { withMachine, withYaml } from '../kept/job-edit.js';
import { act, type Sheet, sheet } from '../sheet.js';
import { fixed } from '../text.js';
import type { Detail, DoubtView, Settings, Slip } from '../work/answers.js';
import { useSize } from './use-size.js';

export const Details = (): JSX.Element => {
  const { shown } = sheet;
  const doubt = shown.placed?.doubt;
  if (doubt !== undefined) return <InDoubt doubt={doubt} />;
  const details = shown.judged?.details ?? [];
  const scale = Math.min(40, ...details.map(({ pxPerMm }) => pxPerMm));
  return (
    <aside class="det" aria-label="Details">
      <h2>
        Details
        {details.length === 0 ? null : <Bar scale={scale} />}
      </h2>
      {details.length === 0 ? <p class="why">{whyNone()}</p> : null}
      {details.map((detail, i) => (
        <figure key={i}>
          <figcaption>
            <span class={`no ${i === 0 ? 'decides' : ''}`}>{i + 1}</span>
            {detail.says !== '' ? <b class="says">{detail.says}</b> : i === 0 ? <b>decides:</b> : null}
            <span class="of">{detail.id}</span>
          </figcaption>
          <DetailDrawing detail={detail} index={i} scale={scale} of={sheet} />
        </figure>
      ))}
    </aside>
  );
};

const whyNone = (): string => {
  const { shown, working } = sheet;
  if (working !== undefined) return '';
  if (shown.drawing === undefined)
    return 'The three places that decide are shown here, about 40 times as large.';
  return shown.placed === undefined
    ? 'Once the part is placed, the three places that decide are shown here.'
    : '';
};

const Bar = ({ scale }: { readonly scale: number }): JSX.Element => {
  const mm = [1, 2, 5, 10, 20, 50, 100].find((one) => one * scale >= 30) ?? 100;
  const w = mm * scale;
  return (
    <span>
      <svg width={w + 2} height="9" aria-hidden="true">
        <path class="ext k" d={`M1,0V9M${w + 1},0V9M1,4.5H${w + 1}`} />
      </svg>
      {mm} mm
    </span>
  );
};

interface DrawingProps {
  readonly detail: Detail;
  readonly index: number;
  readonly scale: number;
  readonly of: Sheet;
  readonly onPaper?: boolean;
}

export const DetailDrawing = ({ detail, index, scale, of }: DrawingProps): JSX.Element => {
  const [ref, [width, height]] = useSize<HTMLDivElement>([244, 184]);
  return (
    <div class="dbox" ref={ref}>
      <DetailSvg detail={detail} index={index} scale={scale} of={of} width={width} height={height} />
    </div>
  );
};

export const DetailSvg = ({
  detail,
  index,
  scale,
  of,
  width,
  height,
  onPaper = false,
}: DrawingProps & { readonly width: number; readonly height: number }): JSX.Element => {
  const { settings, cut } = of.shown;
  const {
    kind = 'opening',
    kerf = 0,
    pierced = 0,
    corners = 'mitre',
    mitreLimit = 4,
  } = settings ?? ({} as Partial<Settings>);
  const given = of.sliding ?? settings?.clearance ?? 0;
  const needed = detail.needed;
  const isSliding = of.sliding !== undefined;
  const beams = isSliding ? [] : (cut?.beams[index] ?? []);
  const x0 = Math.round(width * 0.36);
  const y0 = Math.round(height / 2);
  const s = scale;
  const edges = detail.edges.map(({ d }) => d).join('');
  const own = detail.edges
    .filter((one) => one.own)
    .map(({ d }) => d)
    .join('');
  const id = `${onPaper ? 'p' : 'd'}${index}`;
  const moved = detail.displaced;
  const at = (mm: number): number => mm * s;
  const limit = corners === 'mitre' ? mitreLimit : 1;
  const mm = `translate(${x0} ${y0}) scale(${s})`;
  const join = {
    'stroke-linejoin': corners === 'mitre' ? 'miter' : 'round',
    'stroke-miterlimit': limit,
  } as const;
  const shift = moved === undefined ? '' : ` translate(${moved.x} ${moved.y})`;
  const hasBand = kind === 'opening';
  const newEdge = given + (moved?.x ?? 0);
  const topY = -y0 + 24;
  const footY = height - y0 - 22;
  const widest = Math.max(at(given), at(needed ?? 0), at(newEdge));
  const textX = Math.min(widest + 22, width - x0 - 96);
  return (
    <svg
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={says(detail, given)}
    >
      <defs>
        <pattern
          id={`film-${id}`}
          width="8"
          height="8"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect class="fi0" width="8" height="8" />
          <path class="fi1" d="M0,0V8" />
        </pattern>
        <clipPath id={`cl-${id}`}>
          <rect x="0" y="0" width={width} height={height} />
        </clipPath>
      </defs>
      <g clip-path={`url(#cl-${id})`}>
        <rect
          width={width}
          height={height}
          fill={kind === 'opening' ? `url(#film-${id})` : undefined}
          class={kind === 'opening' ? '' : 'd-pan'}
        />
        <g transform={mm}>
          {kind === 'inlay' ? <path class="d-open" d={edges} /> : null}
          {hasBand && beams.length === 0 ? (
            <g transform={shift.trim() || undefined}>
              <path class="d-line" d={edges} stroke-width={2 * given + pierced} {...join} />
              <path
                class="d-bare"
                d={edges}
                stroke-width={Math.max(0, 2 * (given - kerf) + pierced)}
                {...join}
              />
            </g>
          ) : null}
          {kind !== 'as-drawn' && beams.length > 0 ? (
            <path
              class={kind === 'opening' ? 'd-waste' : 'd-piece'}
              d={beams.join('')}
              fill={kind === 'opening' ? undefined : `url(#film-${id})`}
            />
          ) : null}
          {beams.length > 0 ? (
            <path
              class="d-line"
              d={beams.join('')}
              stroke-width={kind === 'as-drawn' ? 1.6 / s : Math.max(kerf, 1 / s)}
            />
          ) : null}
          {moved === undefined || !hasBand ? null : <path class="d-meant" d={own} stroke-width={0} />}
          {kind === 'opening' ? (
            <>
              {pierced > 0 ? <path class="d-line" d={edges} stroke-width={pierced + 3 / s} /> : null}
              {pierced > 0 ? <path class="d-hole" d={edges} stroke-width={pierced} /> : null}
              <path class="d-open" d={edges} />
            </>
          ) : null}
          {pierced > 0 && kind === 'opening' ? null : (
            <path class="d-edge" d={edges} stroke-width={1.5 / s} />
          )}
          {detail.outline === '' ? null : <path class="d-rim" d={detail.outline} stroke-width={2.5 / s} />}
        </g>
        {detail.finding ? (
          <path class="finding" d={`M${x0},${y0 - 9}l8,15h-16Z`} />
        ) : (
          <g transform={`translate(${x0} ${y0})`}>
            <text class="dl o" x={-x0 + 10} y="4">
              {kind === 'as-drawn' ? '' : 'opening'}
            </text>
            <text class="dl" x={width - x0 - 10} y="4" text-anchor="end">
              {kind === 'opening' ? 'film' : kind === 'inlay' ? '' : 'panel'}
            </text>
            {needed === undefined ? null : <rect class="d-need" x="0" y="-4" width={at(needed)} height="8" />}
            {detail.ellipse === undefined ? null : (
              <ellipse
                class="d-ell"
                rx={at(detail.ellipse.long)}
                ry={at(detail.ellipse.short)}
                transform={`translate(${at(newEdge)} 0) rotate(${(detail.ellipse.angle * 180) / Math.PI})`}
              />
            )}
            <path
              class="ext"
              d={`M0,${topY - 10}V${needed === undefined ? topY + 12 : footY + 10}M${at(given)},${topY - 10}V${topY + 12}`}
            />
            <Dimension x={at(given)} y={topY} textX={textX} accent={false}>
              <tspan class="b">{fixed(given, 2)}</tspan> {kind === 'as-drawn' ? 'allowed' : 'given'}
            </Dimension>
            {needed === undefined ? null : (
              <>
                <path class="ext" d={`M${at(needed)},${footY - 12}V${footY + 10}`} />
                <Dimension x={at(needed)} y={footY} textX={textX} accent>
                  <tspan class="b">{fixed(needed, 2)}</tspan> needed
                </Dimension>
              </>
            )}
            {kind === 'as-drawn' || height < 150 ? null : (
              <>
                <path class="ext k" d={`M${at(newEdge) - (kerf * s) / 2},${footY / 2 - 4}H${textX - 4}`} />
                <text class="dt" x={textX} y={footY / 2}>
                  {moved === undefined ? `kerf ${fixed(kerf, 2)}` : 'new edge'}
                </text>
              </>
            )}
          </g>
        )}
      </g>
    </svg>
  );
};

const says = ({ id, needed, says: what }: Detail, given: number): string =>
  `${id}${what === '' ? '' : `, ${what}`}: ${fixed(given, 2)} mm given${needed === undefined ? '' : `, ${fixed(needed, 2)} mm needed`}`;

/** Arrows from outside where the length is too short to hold them. */
const Dimension = ({
  x,
  y,
  textX,
  accent,
  children,
}: {
  readonly x: number;
  readonly y: number;
  readonly textX: number;
  readonly accent: boolean;
  readonly children: preact.ComponentChildren;
}): JSX.Element => {
  const c = accent ? ' a' : '';
  const head = (at: number, way: 1 | -1): string => `M${at},${y}l${-6 * way},-2.6v5.2Z`;
  return (
    <>
      <path class={`dim${c}`} d={`M-20,${y}H0M${x},${y}H${textX - 5}M0,${y}H${x}`} />
      <path class={`dimh${c}`} d={`${head(0, 1)}${head(x, -1)}`} />
      <text class={`dt${c}`} x={textX} y={y + 4.6}>
        {children}
      </text>
    </>
  );
};

/** What is typed beside what was probably meant, and what either says of the other readings. */
const InDoubt = ({ doubt }: { readonly doubt: DoubtView }): JSX.Element => {
  const [first] = doubt.slips;
  const one = doubt.slips.length === 1 && first !== undefined;
  return (
    <aside class={`det dslip ${!one && doubt.compared.length === 0 ? 'words' : ''}`} aria-label="In doubt">
      <h2>
        In doubt
        <span>
          {one
            ? `mark ${first.mark}, ${first.axis}`
            : doubt.marks.length === 1
              ? `mark ${doubt.marks[0]}`
              : ''}
        </span>
      </h2>
      {one ? <Digits slip={first} /> : null}
      {doubt.compared.length === 0 ? null : (
        <table class="cmp">
          <thead>
            <tr>
              <th scope="col">off by, mm</th>
              <th scope="col">{one ? first.typed : 'typed'}</th>
              <th scope="col">{one ? first.meant : 'meant?'}</th>
            </tr>
          </thead>
          <tbody>
            {doubt.compared.slice(0, 8).map(({ mark, typed, meant }) => (
              <tr key={mark}>
                <th scope="row">{mark}</th>
                <td>{fixed(typed, 2)}</td>
                <td>{fixed(meant, 2)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <div class="why">
        {doubt.warnings.slice(0, one ? 1 : 3).map(({ message }) => (
          <p key={message}>{message}</p>
        ))}
        <Remedies doubt={doubt} />
      </div>
    </aside>
  );
};

/** What settles it and can be done here: one button each. */
const Remedies = ({ doubt }: { readonly doubt: DoubtView }): JSX.Element => (
  <>
    {doubt.slips.length > 1 ? (
      <button type="button" class="try" onClick={trySlips}>
        Try what was probably meant
      </button>
    ) : null}
    {doubt.remedies.flatMap(({ kind, step, set }) =>
      set === undefined
        ? kind === 'correct-readings' && doubt.slips.length === 0
          ? [
              <p key={step}>
                <b>Or: {step}.</b>
              </p>,
            ]
          : []
        : [
            <button type="button" class="try" key={step} onClick={() => write(set)}>
              {tryWords(set)}
            </button>,
          ],
    )}
  </>
);

const modelWords: Readonly<Record<string, string>> = {
  shift: 'the part was only moved',
  rigid: 'the part was moved and turned',
  similarity: 'the part changed its size',
  affine: 'the part changed its size and squareness',
};

const tryWords = ({ key, value }: { readonly key: string; readonly value: string }): string =>
  key === 'fit.model'
    ? `Try: ${modelWords[value] ?? value} (${key}: ${value})`
    : `Try ${key.replace(/^machine\./, '')}: ${value.length > 40 ? 'as proposed' : value}`;

/** Writes into the job what settles a doubt or what advice names. */
export const write = ({ key, value }: { readonly key: string; readonly value: string }): void =>
  act(`write ${key}`, (work) => {
    const path = key.split('.').map((part) => (/^\d+$/.test(part) ? Number(part) - 1 : part));
    const job =
      path[0] === 'machine' && path.length === 2
        ? withMachine(work.job, String(path[1]), value)
        : withYaml(work.job, path, value);
    return { ...work, job };
  });

const Digits = ({ slip }: { readonly slip: Slip }): JSX.Element => (
  <div class="dig">
    <span>typed</span>
    <b>{differing(slip.typed, slip.meant)}</b>
    <span>meant?</span>
    <b>{differing(slip.meant, slip.typed)}</b>
  </div>
);

/** The figures that differ are underlined. */
const differing = (text: string, other: string): JSX.Element => {
  const same = text.length === other.length;
  return (
    <>
      {[...text].map((char, i) =>
        same && char !== other[i] ? (
          <u key={i}>{char}</u>
        ) : (
          <span class="same" key={i}>
            {char}
          </span>
        ),
      )}
    </>
  );
};
