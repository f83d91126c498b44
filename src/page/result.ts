/** What came out: verdict, figures, picture, what to do next, and what goes with the cut file. */
import {
  type Check,
  type CutResult,
  cautions,
  type Fit,
  type LoadedJob,
  trueToPointer,
  type Verdict,
  type Warning,
} from '../index.js';
import { byId, make, row, show } from './dom.js';
import type { Picture } from './picture.js';
import { counted, escaped, fixed, percent } from './text.js';

const words: Readonly<Record<Verdict, string>> = {
  fits: 'It fits',
  'too-close': 'Too close to call it safe',
  'does-not-fit': 'It does not fit',
};

const mostOpenings = 6;

/** Before there is anything to judge, or where nothing can be judged. */
export const showNothing = (word: string, why: string): void => {
  byId('verdict').dataset.verdict = 'none';
  byId('verdict-word').textContent = word;
  byId('verdict-why').textContent = why;
  for (const id of ['figure', 'figures', 'slide', 'next', 'warnings', 'openings', 'hand-over'])
    show(byId(id), false);
};

/** The verdict and its figures; `needed` where they come from a rougher check than the last full one. */
export const showVerdict = (check: Check, { job }: LoadedJob, needed = check.neededClearance): void => {
  const asDrawn = job.cut.kind === 'as-drawn';
  byId('needed-name').textContent = asDrawn ? 'needed deviation' : 'needed clearance';
  byId('risk-name').textContent = asDrawn ? 'risk of lying farther off' : 'risk of touching';
  byId('verdict').dataset.verdict = check.verdict;
  byId('verdict-word').textContent = words[check.verdict];
  byId('verdict-why').textContent = check.explanation;
  show(byId('figures'), true);
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

const isDoubt = ({ code }: Warning): boolean => code === 'likely-slip' || code === 'suspect-reading';

/** Doubts about the readings come first among what to do next; the rest stands below the picture. */
export const showWarnings = (warnings: readonly Warning[], advice: Check['advice'] = []): void => {
  const fill = (id: string, list: string, messages: readonly string[]): void => {
    show(byId(id), messages.length > 0);
    byId(list).replaceChildren(...messages.map((message) => make('li', message)));
  };
  const doubts = warnings.filter(isDoubt);
  fill(
    'next',
    'advice',
    [...doubts, ...advice].map(({ message }) => message),
  );
  fill(
    'warnings',
    'warning-list',
    warnings.filter((one) => !isDoubt(one)).map(({ message }) => message),
  );
};

export const showOpenings = (check: Check, { job }: LoadedJob): void => {
  const onDisplay = trueToPointer(job.machine);
  const need = (o: Check['openings'][number]): number => o.neededClearance ?? check.clearance - o.margin;
  const worst = [...check.openings].sort((a, b) => need(b) - need(a)).slice(0, mostOpenings);
  const asDrawn = job.cut.kind === 'as-drawn';
  byId('heading-openings').textContent = `The ${asDrawn ? 'lines' : 'openings'} that need most`;
  byId('what-one').textContent = asDrawn ? 'line' : 'opening';
  show(byId('openings'), true);
  byId('opening-rows').replaceChildren(
    ...worst.map((o) => {
      const at = o.worstPoint === undefined ? undefined : onDisplay(o.worstPoint);
      const place = at === undefined ? '–' : `${fixed(at.x, 1)}, ${fixed(at.y, 1)}`;
      const cells = [percent(o.risk), fixed(o.neededClearance, 2), place];
      return row(o.id, [words[o.verdict].toLowerCase(), ...cells], 1);
    }),
  );
};

/** What the operator takes along with the file. */
export const showHandOver = (check: Check, cut: CutResult, loaded: LoadedJob, beside: string): void => {
  show(byId('hand-over'), true);
  const metres = cut.paths.reduce((sum, path) => sum + path.length, 0) / 1000;
  const { job } = loaded;
  byId('cut-summary').textContent =
    `${counted(cut.paths.length, 'path')}, ${fixed(metres, 2)} m to cut, inner ones first; true to ${job.cut.tolerance} mm.`;
  const onDisplay = trueToPointer(job.machine);
  show(byId('witness'), check.witness.length > 0);
  byId('witness-rows').replaceChildren(
    ...check.witness.map((w) => {
      const at = onDisplay(w.at);
      const what =
        w.kind === 'hole'
          ? `the centre of ${w.opening}`
          : `a ${w.kind === 'end' ? 'line end' : 'corner'} of ${w.opening}`;
      const miss = w.allowedMiss === undefined ? '–' : `${fixed(w.allowedMiss, 2)} mm`;
      return row(what, [fixed(at.x, 2), fixed(at.y, 2), miss]);
    }),
  );
  byId('cautions').replaceChildren(...cautions.map((caution) => make('li', caution)));
  const remind = byId('hand-over-verdict');
  show(remind, check.verdict !== 'fits');
  remind.textContent = `The check says: ${words[check.verdict].toLowerCase()}. A cut now may spoil the part.`;
  byId('beside').textContent = beside;
};

/** How far each reading lies from the fit, or why that says nothing. */
export const residualTexts = (fit: Fit): Map<string, string> =>
  new Map(
    fit.marks.map(({ mark, residual }) => [
      mark,
      fit.redundancy === 0 ? 'unchecked' : `${fixed(Math.hypot(residual.x, residual.y), 2)} mm`,
    ]),
  );
