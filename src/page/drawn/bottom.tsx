/** The bottom line: the verdict, the rule, one next step, and saving. */
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { wrongEntry } from '../kept/book-lines.js';
import { written } from '../kept/job-edit.js';
import { saveCut } from '../kept/save.js';
import { sheet } from '../sheet.js';
import { fixed, lowerFirst, upperFirst } from '../text.js';
import type { DoubtView } from '../work/answers.js';
import { RuleCell } from './rule.js';

export const Bottom = (): JSX.Element => (
  <footer class="line">
    <Verdict />
    <RuleCell />
    <Next />
  </footer>
);

const working = { reading: 'Reading', placing: 'Placing', judging: 'Judging', cutting: 'Cutting' } as const;

/** Whatever takes longer than a moment says so, and how long it has taken. */
const Progress = (): JSX.Element | null => {
  const [, tick] = useState(0);
  const { working: now, since } = sheet;
  useEffect(() => {
    if (now === undefined) return undefined;
    const timer = setInterval(() => tick((n) => n + 1), 500);
    return () => clearInterval(timer);
  }, [now, since]);
  if (now === undefined) return null;
  const seconds = (performance.now() - since) / 1000;
  return (
    <span class="progress" role="status">
      {seconds < 0.45 ? '' : `${working[now]} … ${seconds < 1 ? '' : `${Math.floor(seconds)} s`}`}
    </span>
  );
};

const Verdict = (): JSX.Element => {
  const { word, why, rests, state, old } = verdict();
  return (
    <section
      // biome-ignore lint/a11y/noNoninteractiveTabindex: a long verdict is scrolled with keys
      tabIndex={0}
      class={`verdict ${old ? 'old' : ''} ${why.length + (rests?.length ?? 0) > longWords ? 'long' : ''}`}
      id="verdict"
      aria-label="Verdict"
      data-state={state}
      aria-live="polite"
      aria-atomic="true"
    >
      <h1>{word}</h1>
      <p>{why}</p>
      {rests === undefined ? null : <p class="as">{rests}</p>}
    </section>
  );
};

/** Above so many letters they are set smaller, so that the field book keeps its room. */
const longWords = 300;

interface Said {
  readonly word: string;
  readonly why: string;
  readonly rests?: string | undefined;
  readonly state: string;
  readonly old: boolean;
}

export const verdict = (): Said => {
  const { shown, fresh, state, sliding } = sheet;
  const { judged, placed, fault, failed, unjudged, slid, drawing } = shown;
  const wrong = wrongEntry(sheet);
  const old = judged !== undefined && (!fresh || wrong !== undefined);
  if (sliding !== undefined && slid !== undefined && slid.clearance === sliding)
    return { word: `${slid.word}.`, why: slid.explanation, state: 'sliding', old: false };
  if (fault !== undefined) {
    const where = fault.element === '' ? '' : ` at ${fault.element}`;
    return {
      word: judged === undefined ? 'Not judged.' : `${judged.word}, before.`,
      why: `Found${where}: ${fault.found}. Expected ${fault.expected}. ${fault.next}`,
      state: 'fault',
      old,
    };
  }
  if (failed !== undefined) return { word: 'Not placed yet.', why: failed.reason, state: 'none', old: false };
  if (unjudged !== undefined) {
    const doubt = placed?.doubt;
    return doubt === undefined
      ? {
          word: 'Not judged yet.',
          why: `Say how far the cut may lie off the drawn line: ${unjudged}`,
          state: 'none',
          old: false,
        }
      : {
          word: `${doubt.word}.`,
          why: `${upperFirst(doubt.remedies[0]!.step)}. Cut nothing before that.`,
          state: 'doubt',
          old: false,
        };
  }
  if (judged !== undefined) {
    if (placed?.doubt !== undefined)
      return {
        word: `${judged.word}.`,
        why: doubtWords(placed.doubt),
        rests: `Nothing was changed. As typed, ${lowerFirst(judged.asTyped)}.`,
        state: 'doubt',
        old,
      };
    return {
      word: `${judged.word}.`,
      why: judged.explanation,
      rests:
        wrong !== undefined
          ? `${wrong}. This is from before it.`
          : judged.saysAssumption
            ? undefined
            : judged.rests,
      state: judged.json.verdict,
      old,
    };
  }
  if (state.work.job === '')
    return {
      word: 'Nothing yet.',
      why: 'Open a drawing, or begin with the worked example.',
      state: 'none',
      old: false,
    };
  if (drawing === undefined)
    return {
      word: 'Not judged yet.',
      why: written(state.work.job, ['drawing']) === undefined ? 'Open the drawing it was made from.' : '',
      state: 'none',
      old: false,
    };
  return {
    word: 'Not judged yet.',
    why: 'Read at least two marks; three show whether a reading is wrong, four say which.',
    state: 'none',
    old: false,
  };
};

const doubtWords = ({ slips, warnings, remedies }: DoubtView): string => {
  const [slip] = slips;
  if (slip !== undefined && slips.length === 1)
    return `Mark ${slip.mark}, ${slip.axis}: ${slip.typed}. Was it ${slip.meant}?`;
  return warnings[0]?.message.split(/(?<=\.)\s/)[0] ?? upperFirst(remedies[0]!.step);
};

const Next = (): JSX.Element => {
  const { shown, working: now } = sheet;
  const fresh = sheet.fresh && wrongEntry(sheet) === undefined;
  const { judged, cut, refused } = shown;
  const witness = judged?.proven ? judged.witness[0] : undefined;
  const isProven = judged?.proven === true && fresh && cut !== undefined && cut.unproven === undefined;
  return (
    <section class="next" aria-label="Next">
      <h3>
        Next <Progress />
      </h3>
      <p>{nextWords()}</p>
      {witness === undefined ? null : (
        <p class="go">
          <span>
            <i>x</i>
            {fixed(witness.at.x, 2)}
          </span>
          <span>
            <i>y</i>
            {fixed(witness.at.y, 2)}
          </span>
        </p>
      )}
      {judged === undefined ? null : refused !== undefined ? (
        <p class="refused">
          No cut: {refused.found}. {refused.next}
        </p>
      ) : cut?.contradiction !== undefined ? (
        <p class="refused">No cut is saved with {cut.contradiction}.</p>
      ) : (
        <div class={`save ${isProven ? '' : 'quiet'}`}>
          {isProven ? null : (
            <span>
              {fresh && now === undefined ? 'Save all the same, NOT PROVEN:' : 'Not worked out yet:'}
            </span>
          )}
          <button
            type="button"
            aria-label="Save SVG"
            disabled={!fresh || cut === undefined}
            onClick={() => saveCut('svg')}
          >
            {isProven ? 'Save ' : ''}SVG
          </button>
          <button
            type="button"
            aria-label="Save DXF"
            disabled={!fresh || cut === undefined}
            onClick={() => saveCut('dxf')}
          >
            DXF
          </button>
          <button
            type="button"
            aria-label="Save NC"
            disabled={!fresh || cut?.ncReady !== true}
            title={
              cut?.ncReady === false
                ? 'The machine profile has no feed and no words for the tool.'
                : undefined
            }
            onClick={() => saveCut('nc')}
          >
            NC
          </button>
        </div>
      )}
    </section>
  );
};

const nextWords = (): string => {
  const { shown, state } = sheet;
  if (shown.fault !== undefined) return shown.fault.next;
  if (shown.failed !== undefined) return shown.failed.cure;
  if (shown.judged !== undefined) return shown.judged.next;
  if (state.work.job === '') return 'Open the drawing it was made from.';
  return shown.drawing === undefined
    ? 'Open the drawing it was made from.'
    : 'Drive to a mark and type what the display shows.';
};
