/** What came out: verdict, figures, picture, what to do next, and what goes with the cut file. */
import {
  type Check,
  type CutResult,
  cautions,
  type Doubt,
  doubtIn,
  doubtWord,
  type Fit,
  firstStep,
  type LoadedJob,
  type NextStep,
  trueToPointer,
  verdictWords,
  type Warning,
  type WitnessPoint,
} from '../index.js';
import { byId, make, row, show } from './dom.js';
import { filmElsewhere } from './kept.js';
import type { Picture } from './picture.js';
import { counted, escaped, fixed, lowerFirst, percent, upperFirst } from './text.js';

const mostOpenings = 6;

/** The verdict, and its one line that stays in sight on a small screen. */
const say = (verdict: string, word: string, why: string, brief: string): void => {
  byId('verdict').dataset.verdict = verdict;
  byId('verdict-word').textContent = word;
  byId('verdict-why').textContent = why;
  byId('brief').dataset.verdict = verdict;
  byId('brief-word').textContent = word;
  byId('brief-why').textContent = brief;
};

/** Before there is anything to judge, or where nothing can be judged. */
export const showNothing = (word: string, why: string): void => {
  say('none', word, why, '');
  for (const id of ['figure', 'figures', 'slide', 'next', 'warnings', 'openings', 'hand-over'])
    show(byId(id), false);
};

/** Where something is missing for a verdict; a reading in doubt goes before that. */
export const showUnjudged = (missing: string, doubt: Doubt | undefined): void => {
  showNothing('Not checked yet', missing);
  if (doubt !== undefined) say('doubt', doubtWord(doubt), whatInDoubt(doubt), firstStep(doubt));
};

const whatInDoubt = (doubt: Doubt): string =>
  `${upperFirst(firstStep(doubt))}${doubt.remedies[0]!.kind === 'read-again' ? ' and type what the display shows' : ''}. Cut nothing before that.`;

/**
 * The verdict and its figures, or, before either, that a reading is in doubt.
 * `needed` where the figures come from a rougher check than the last full one.
 */
export const showVerdict = (
  check: Check,
  { job }: LoadedJob,
  { needed = check.neededClearance, doubt }: { needed?: number | undefined; doubt?: Doubt | undefined } = {},
): void => {
  const asDrawn = job.cut.kind === 'as-drawn';
  const enough = needed === undefined ? '' : `needs ${fixed(needed, 2)} mm`;
  byId('needed-name').textContent = asDrawn ? 'needed deviation' : 'needed clearance';
  byId('risk-name').textContent = asDrawn ? 'risk of lying farther off' : 'risk of touching';
  if (doubt === undefined) say(check.verdict, verdictWords[check.verdict], check.explanation, enough);
  else {
    const now = `With what is typed now: ${lowerFirst(verdictWords[check.verdict])}; ${lowerFirst((check.byFigures ?? check).explanation)}`;
    say('doubt', doubtWord(doubt), `${whatInDoubt(doubt)} ${now}`, firstStep(doubt));
  }
  show(byId('figures'), doubt === undefined);
  figure('needed', needed === undefined ? '–' : `${fixed(needed, 2)} mm`, needed);
  figure('shown-risk', percent(check.risk), check.risk);
};

const figure = (id: string, text: string, value: number | undefined): void => {
  const element = byId(id);
  element.textContent = text;
  element.dataset.value = value === undefined ? '' : String(value);
};

/** The slider round the clearance, with a tick where it would be enough. */
export const showSlider = (check: Check, isShown: boolean): void => {
  show(byId('slide'), isShown);
  if (!isShown) return;
  const { clearance, neededClearance: needed = 0 } = check;
  const slider = byId<HTMLInputElement>('slider');
  const most = Math.max(0.2, Math.ceil(20 * Math.max(2 * needed, 1.5 * clearance)) / 20);
  slider.max = String(most);
  slider.value = String(clearance);
  showClearance(clearance);
  const tick = byId('tick');
  show(tick, check.neededClearance !== undefined);
  tick.style.left = `calc(${(needed / most).toFixed(4)} * (100% - 16px) + 7px)`;
};

export const showClearance = (clearance: number): void => {
  byId('slider-value').textContent = `${fixed(clearance, 2)} mm`;
};

export const showPicture = ({ svg, arrows, frame }: Picture, legend: readonly [string, string][]): void => {
  show(byId('figure'), true);
  byId('picture').innerHTML = svg;
  const parts = legend.map(([sign, text]) => `<span><i class="${sign}"></i>${escaped(text)}</span>`);
  if (arrows !== undefined) parts.push(`<span>arrows: ${escaped(arrows)}</span>`);
  parts.push(`<span>${frame === 'bed' ? 'as it lies on the bed' : 'as drawn'}</span>`);
  byId('picture-caption').innerHTML = parts.join('');
};

/** What doubts the readings stands first among what to do next, and then alone; the rest stands below the picture. */
export const showWarnings = (warnings: readonly Warning[], step?: NextStep): void => {
  const fill = (id: string, list: string, parts: readonly { readonly message: string }[]): void => {
    show(byId(id), parts.length > 0);
    byId(list).replaceChildren(...parts.map(({ message }) => make('li', message)));
  };
  const doubts = doubtIn(warnings)?.warnings ?? [];
  fill('next', 'advice', [...doubts, ...(step === undefined || step.kind === 'cut' ? [] : step.advice)]);
  fill(
    'warnings',
    'warning-list',
    warnings.filter((one) => !doubts.includes(one)),
  );
};

/** Where a reading is probably wrong, one opening is as wrong as the other, and none is shown. */
export const showOpenings = (check: Check, { job }: LoadedJob, doubt: Doubt | undefined): void => {
  const onDisplay = trueToPointer(job.machine);
  const need = (o: Check['openings'][number]): number => o.neededClearance ?? check.clearance - o.margin;
  const isOut = (o: Check['openings'][number]): number => Number(o.verdict === 'does-not-fit');
  const worst = [...check.openings]
    .sort((a, b) => isOut(b) - isOut(a) || need(b) - need(a))
    .slice(0, mostOpenings);
  const asDrawn = job.cut.kind === 'as-drawn';
  byId('heading-openings').textContent = `The ${asDrawn ? 'lines' : 'openings'} that need most`;
  byId('what-one').textContent = asDrawn ? 'line' : 'opening';
  show(byId('openings'), !doubt?.marks.length);
  byId('opening-rows').replaceChildren(
    ...worst.map((o) => {
      const at = o.worstPoint === undefined ? undefined : onDisplay(o.worstPoint);
      const place = at === undefined ? '–' : `${fixed(at.x, 1)}, ${fixed(at.y, 1)}`;
      const cells = [percent(o.risk), fixed(o.neededClearance, 2), place];
      return row(o.id, [lowerFirst(verdictWords[o.verdict]), ...cells], 1);
    }),
  );
};

/** What the operator takes along with the file. */
export const showHandOver = (
  check: Check,
  step: NextStep,
  cut: CutResult,
  loaded: LoadedJob,
  beside: string,
  contradiction: string | undefined,
): void => {
  show(byId('hand-over'), true);
  const metres = cut.paths.reduce((sum, path) => sum + path.length, 0) / 1000;
  const { job } = loaded;
  byId('cut-summary').textContent =
    `${counted(cut.paths.length, 'path')}, ${fixed(metres, 2)} m to cut, inner ones first; true to ${job.cut.tolerance} mm.${job.film === undefined ? '' : ` ${filmElsewhere}`}`;
  const onDisplay = trueToPointer(job.machine);
  show(byId('witness'), step.witness.length > 0);
  byId('witness-rows').replaceChildren(
    ...step.witness.map((w, i) => {
      const at = onDisplay(w.at);
      const what = `${i + 1} ${overWhat(w)}`;
      const miss = w.allowedMiss === undefined ? '–' : `${fixed(w.allowedMiss, 2)} mm`;
      return row(what, [fixed(at.x, 2), fixed(at.y, 2), miss]);
    }),
  );
  byId('cautions').replaceChildren(...cautions.map((caution) => make('li', caution)));
  const remind = byId('hand-over-verdict');
  show(remind, step.kind !== 'cut');
  const why =
    step.kind === 'settle'
      ? `${doubtWord(step.doubt)}: ${firstStep(step.doubt)}. Cut nothing before that.`
      : `The check says: ${lowerFirst(verdictWords[check.verdict])}. A cut now may spoil the part.`;
  remind.textContent = contradiction === undefined ? why : `${why} No cut is saved with ${contradiction}.`;
  byId('beside').textContent = beside;
};

const overWhat = ({ kind, opening }: WitnessPoint): string =>
  kind === 'hole' ? `the centre of ${opening}` : `a ${kind === 'end' ? 'line end' : 'corner'} of ${opening}`;

/** How far each reading lies from the fit, or why that says nothing. */
export const residualTexts = (fit: Fit): Map<string, string> =>
  new Map(
    fit.marks.map(({ mark, residual }) => [
      mark,
      fit.redundancy === 0 ? 'unchecked' : `${fixed(Math.hypot(residual.x, residual.y), 2)} mm`,
    ]),
  );
