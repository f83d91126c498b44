/** The page: takes files and figures, works the job out, shows what came of it. */
import {
  type Check,
  type CutFormat,
  type CutResult,
  checkJob,
  cutFormats,
  cutJob,
  doubtIn,
  type Fit,
  type FittedJob,
  fitJob,
  hasBound,
  InputError,
  type LengthUnit,
  type LoadedJob,
  listDrawing,
  loadJob,
  loadPlan,
  marksIn,
  type NextStep,
  nextStep,
  type Point,
  type Warning,
  writeCutFile,
} from '../index.js';
import { all, byId, make, show } from './dom.js';
import {
  addTypedMark,
  clearFaults,
  fillFrom,
  offerMarks,
  showDefaults,
  showFault,
  showResiduals,
  typedMarks,
  typedReadings,
  typedValues,
} from './form.js';
import { jobText } from './job-text.js';
import { keptWords, otherReadings } from './kept.js';
import { bedPicture, drawingPicture } from './picture.js';
import {
  residualTexts,
  showClearance,
  showHandOver,
  showNothing,
  showOpenings,
  showPicture,
  showSlider,
  showUnjudged,
  showVerdict,
  showWarnings,
} from './result.js';
import { counted, fixed } from './text.js';
import { MemoryFiles, quickCheck } from './work.js';

/** A job that came with the page, with the files it names, as base64. */
interface Given {
  readonly path: string;
  readonly text: string;
  readonly files: Readonly<Record<string, string>>;
}

const files = new MemoryFiles();
let given: Given | undefined;
let drawing: string | undefined;
let machine: string | undefined;
/** The job that came has some: it can do without marks. */
let hasTouches = false;
let drawnMarks: ReadonlyMap<string, Point> = new Map();
/** What stands behind the figures that are shown. */
let current:
  | {
      loaded: LoadedJob;
      fit: Fit;
      check: Check;
      step: NextStep;
      text: string;
      warnings: readonly Warning[];
    }
  | undefined;

const textOfJob = (): string => {
  const values = typedValues();
  if (machine !== undefined) values.set('machine', machine);
  return jobText({
    given: given?.text,
    title: given === undefined ? drawing?.replace(/\.[^.]*$/, '') : undefined,
    drawing: drawing ?? '',
    readings: typedReadings(),
    marks: typedMarks(),
    drawnMarks: [...drawnMarks.keys()],
    values,
  });
};

/** A drawing as the job understands it; without a job, by the names of its layers. */
type Understood = Pick<LoadedJob, 'drawing' | 'roles' | 'marks' | 'warnings'>;

const listed = (unit: LengthUnit | ''): Understood => {
  const found = listDrawing(files.read(drawing!)!, drawing!, unit === '' ? {} : { units: unit });
  const marks = marksIn(found.drawing, found.roles).map(({ name, centre }) => [name, centre] as const);
  return { ...found, marks: new Map(marks) };
};

const understood = (): Understood => {
  if (given === undefined) return listed(byId<HTMLSelectElement>('units').value as LengthUnit | '');
  const plan = loadPlan({ path: given.path, text: textOfJob() }, files);
  return { ...plan, marks: plan.present };
};

/** What is in the drawing, before anything was read. */
const lookAtDrawing = (): void => {
  if (drawing === undefined) return;
  byId('drawing-name').textContent = drawing;
  byId('drop').classList.add('filled');
  try {
    const found = understood();
    showDrawing(found);
    if (given === undefined) offerMarks(drawnMarks);
    showPicture(
      drawingPicture(
        found.roles.shapes,
        (shape) => found.roles.roles.get(shape.id) ?? 'unused',
        [...found.marks].map(([name, at]) => ({ name, at })),
      ),
      [['opening', 'opening']],
    );
    showWarnings(found.warnings);
    if (found.drawing.scale !== undefined) show(byId('units-field'), true);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    byId('drawing-facts').textContent = '';
    showFault(given === undefined ? new InputError({ ...error, where: { element: 'drawing' } }) : error);
    if (byId<HTMLSelectElement>('units').value === '') {
      show(byId('units-field'), !worksIn('', listed) && worksIn('mm', listed));
    }
  }
};

const showDrawing = ({ drawing: found, roles, marks }: Understood): void => {
  const { box } = found;
  drawnMarks = new Map(marksIn(found, roles).map(({ name, centre }) => [name, centre]));
  byId('drawing-facts').textContent = [
    box.minX > box.maxX ? 'empty' : `${fixed(box.maxX - box.minX, 1)} × ${fixed(box.maxY - box.minY, 1)} mm`,
    counted(roles.openings.length, 'opening'),
    roles.outline.length > 0 ? 'an outline' : 'no outline',
    counted(marks.size, 'mark'),
  ].join(', ');
};

/** Whether a drawing lacks nothing but its unit. */
const worksIn = (unit: LengthUnit | '', list: (unit: LengthUnit | '') => unknown): boolean => {
  try {
    list(unit);
    return true;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return false;
  }
};

const update = (): void => {
  current = undefined;
  clearFaults();
  showResiduals(new Map());
  if (drawing === undefined) {
    showNothing('Not checked yet', 'Give it the drawing and at least two readings.');
    return;
  }
  // Pieces from a board of their own need no readings.
  const isInlay = typedValues().get('cut.kind') === 'infill';
  if (typedReadings().length === 0 && !hasTouches && !isInlay) {
    showNothing('Not checked yet', 'Read at least two marks; three show whether a reading is wrong.');
    lookAtDrawing();
    return;
  }
  const text = textOfJob();
  let unjudged: FittedJob | undefined;
  try {
    const loaded = loadJob({ path: given?.path ?? 'job.yaml', text }, files);
    showDefaults(loaded);
    if (!hasBound(loaded.job)) unjudged = fitJob(loaded);
    const checked = checkJob(loaded);
    if (!checked.ok) {
      const { reason, cure } = checked.failure;
      showNothing('The part cannot be placed yet', `${reason} ${cure}`);
      showWarnings(checked.warnings);
      return;
    }
    const { check, fit } = checked;
    const step = nextStep(check, checked.warnings);
    const doubt = step.kind === 'settle' ? step.doubt : undefined;
    current = { loaded, fit, check, step, text, warnings: checked.warnings };
    showVerdict(check, loaded, { doubt });
    showSlider(check, loaded.job.cut.kind !== 'as-drawn' && doubt === undefined);
    showResiduals(residualTexts(fit), new Set(doubt?.marks));
    showOpenings(check, loaded, doubt);
    showWarnings(checked.warnings, step);
    showCut(loaded, check, step);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    showFault(error);
    if (current !== undefined) return;
    if (unjudged !== undefined) showFitted(unjudged);
    else showNothing('Not checked', 'Something typed has to be put right first.');
  }
};

/** What is known of a cut as drawn that does not say how far it may lie off the line. */
const showFitted = ({ outcome, warnings }: FittedJob): void => {
  const doubt = doubtIn(warnings);
  showUnjudged('Say how far the cut may lie off the drawn line.', doubt);
  if (outcome.ok) showResiduals(residualTexts(outcome.fit), new Set(doubt?.marks));
  showWarnings(warnings);
};

/** The picture with its cut, and the files; a cut that is refused keeps both the picture and the verdict. */
const showCut = (loaded: LoadedJob, check: Check, step: NextStep): void => {
  const need = (o: Check['openings'][number]): number => o.neededClearance ?? check.clearance - o.margin;
  const isNamed = step.kind === 'settle' && step.doubt.marks.length > 0;
  const worst = isNamed ? undefined : [...check.openings].sort((a, b) => need(b) - need(a))[0]?.id;
  const { witness } = step;
  const pointedAt = { worst, witness };
  const nothing: CutResult = {
    paths: [],
    merged: [],
    vanished: [],
    findings: [],
    thinLands: [],
    warnings: [],
  };
  const legend = (hasCut: boolean, hasFindings = false): [string, string][] => [
    ['opening', 'existing opening'],
    ...(worst === undefined ? [] : [['worst', `needs most: ${worst}`] as [string, string]]),
    ...(hasCut ? [['beam', 'path of the beam'] as [string, string]] : []),
    ...(witness.length > 0 ? [['place', 'where the pointer must stand'] as [string, string]] : []),
    ...(hasFindings ? [['finding', 'what the cut does to the piece'] as [string, string]] : []),
  ];
  const { fit } = current!;
  try {
    const done = cutJob(loaded);
    if (!done.ok) throw new RangeError('a fit that was there is gone');
    showPicture(bedPicture(loaded, fit, done.cut, pointedAt), legend(true, done.cut.findings.length > 0));
    const warnings = new Map([...done.warnings, ...check.warnings].map((one) => [one.message, one]));
    showWarnings([...warnings.values()], step);
    showHandOver(
      check,
      step,
      done.cut,
      loaded,
      machine === undefined && given === undefined ? '' : ' and the machine profile',
      done.contradiction,
    );
    for (const button of all<HTMLButtonElement>('[data-save]'))
      button.disabled = done.contradiction !== undefined && button.dataset.save !== 'yaml';
    const nc = loaded.job.machine.nc;
    const ready = nc?.feed !== undefined && nc.toolOn !== undefined && nc.toolOff !== undefined;
    show(document.querySelector<HTMLElement>('[data-save=nc]')!, ready);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    showPicture(bedPicture(loaded, fit, nothing, pointedAt), legend(false));
    show(byId('hand-over'), false);
    showFault(error);
  }
};

const save = (what: string): void => {
  if (current === undefined) return;
  const name =
    (current.loaded.job.title ?? 'job').replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '') || 'job';
  if (what === 'yaml') {
    download(given?.path ?? `${name}.yaml`, current.text, 'application/yaml');
    return;
  }
  const format = cutFormats.find((one) => one === what) as CutFormat;
  const done = cutJob(current.loaded);
  if (!done.ok) return;
  const type = format === 'svg' ? 'image/svg+xml' : 'application/octet-stream';
  download(`${name}-cut.${format}`, writeCutFile(done.file, format), type);
};

const download = (name: string, text: string, type: string): void => {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const link = make('a', '', { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
};

/** ms; figures are typed one key after the other. */
const pause = 150;
let waiting: ReturnType<typeof setTimeout> | undefined;
const later = (): void => {
  clearTimeout(waiting);
  byId('verdict').classList.add('busy');
  waiting = setTimeout(() => {
    update();
    byId('verdict').classList.remove('busy');
  }, pause);
};

let following = 0;
/** At most one check for each picture that the screen shows. */
const follow = (): void => {
  const clearance = Number(byId<HTMLInputElement>('slider').value);
  byId<HTMLInputElement>('clearance').value = String(clearance);
  showClearance(clearance);
  cancelAnimationFrame(following);
  following = requestAnimationFrame(() => {
    if (current === undefined) return;
    const { loaded, fit, check, warnings } = current;
    showVerdict(quickCheck(loaded, fit, clearance, warnings), loaded, { needed: check.neededClearance });
  });
};

const kindChanged = (): void => {
  const kind = document.querySelector<HTMLInputElement>('[name=kind]:checked')!.value;
  for (const field of all<HTMLElement>('[data-kind]')) {
    show(field, (field.dataset.kind === 'as-drawn') === (kind === 'as-drawn'));
  }
};

const take = async (input: HTMLInputElement): Promise<string | undefined> => {
  const [file] = input.files ?? [];
  if (file === undefined) return undefined;
  files.add(file.name, new Uint8Array(await file.arrayBuffer()));
  return file.name;
};

const takeDrawing = async (): Promise<void> => {
  drawing = (await take(byId('drawing'))) ?? drawing;
  show(byId('units-field'), false);
  clearFaults();
  lookAtDrawing();
  later();
};

const takeMachine = async (): Promise<void> => {
  machine = (await take(byId('machine'))) ?? machine;
  byId('machine-name').textContent = machine === undefined ? '' : `Taken from ${machine}.`;
  later();
};

const start = (): void => {
  given = JSON.parse(byId('given').textContent ?? 'null') ?? undefined;
  if (given !== undefined) {
    for (const [path, base64] of Object.entries(given.files)) {
      files.add(
        path,
        Uint8Array.from(atob(base64), (c) => c.charCodeAt(0)),
      );
    }
    const loaded = loadJob(given, files);
    drawing = loaded.job.drawing;
    byId('title').textContent = loaded.job.title ?? given.path;
    byId('drawing-name').textContent = drawing;
    byId('drop').classList.add('filled');
    showDrawing(loaded);
    fillFrom(given.text, loaded);
    kindChanged();
    hasTouches = loaded.job.touches !== undefined;
    byId('other-readings').textContent = otherReadings(loaded.job) ?? '';
    byId('kept').textContent = keptWords(loaded.job);
    show(byId('kept'), true);
  }
  update();
};

window.addEventListener('error', ({ message }) => {
  const panel = byId('fault-panel');
  panel.replaceChildren(
    make('h2', 'A mistake of this program'),
    make(
      'p',
      `${message}. Do not rely on anything shown here; keep the drawing and the figures, and report it.`,
    ),
  );
  show(panel, true);
});
const form = byId('form');
form.addEventListener('submit', (event) => event.preventDefault());
form.addEventListener('input', (event) => {
  if ((event.target as HTMLInputElement).type === 'file') return;
  kindChanged();
  later();
});
byId('drawing').addEventListener('change', () => void takeDrawing());
byId('machine').addEventListener('change', () => void takeMachine());
byId('add-mark').addEventListener('click', addTypedMark);
byId('slider').addEventListener('input', follow);
byId('slider').addEventListener('change', later);
for (const button of all<HTMLButtonElement>('[data-save]')) {
  button.addEventListener('click', () => save(button.dataset.save!));
}
for (const kind of ['dragenter', 'dragover', 'dragleave', 'drop']) {
  byId('drop').addEventListener(kind, () =>
    byId('drop').classList.toggle('over', kind === 'dragenter' || kind === 'dragover'),
  );
}
start();
