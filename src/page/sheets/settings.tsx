/** Everything the job may say beside its readings, and everything that was said of it. */
import type { JSX } from 'preact';
import { cautions } from '../../internal.js';
import { written } from '../kept/job-edit.js';
import { sheet } from '../sheet.js';
import { fixed } from '../text.js';
import { ByHand } from './by-hand.js';
import { Choice, FigureRow, Part } from './form.js';
import { JobText } from './job-text.js';
import { MarksByHand } from './marks-by-hand.js';
import { Openings, Remarks } from './remarks.js';

export const SettingsSheet = (): JSX.Element => {
  const { drawing } = sheet.shown;
  const hasJob = sheet.state.work.job !== '';
  return (
    <section class="further" aria-label="Settings">
      <div class="cols">
        <WhatIsCut />
        <ThePart />
        <HowWellKnown />
        <Part title="Marks by hand">
          <MarksByHand />
          {drawing?.rolesLine === undefined ? null : (
            <p class="hint">
              Roles are assumed. In the job: <code>{drawing.rolesLine}</code>
            </p>
          )}
        </Part>
        <ByHand />
        <Remarks />
        <Openings />
        <Part title="Before the beam is on">
          <ol>
            {cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ol>
        </Part>
        {hasJob ? <JobText /> : null}
      </div>
    </section>
  );
};

const kinds: readonly (readonly [string, string])[] = [
  ['', 'a sheet round the openings'],
  ['inlay', 'pieces that fill the openings'],
  ['as-drawn', 'the drawn lines once more'],
];

const WhatIsCut = (): JSX.Element => {
  const { settings } = sheet.shown;
  const { job } = sheet.state.work;
  const asDrawn = written(job, ['cut', 'kind']) === 'as-drawn';
  const isPointed = written(job, ['cut', 'corners']) !== 'round';
  return (
    <Part title="The cut">
      <Choice of={['cut', 'kind']} label="What is cut" options={kinds} usual="opening" />
      {asDrawn ? null : (
        <>
          <Choice
            of={['cut', 'corners']}
            label="New corners"
            usual="mitre"
            options={[
              ['', 'pointed'],
              ['round', 'rounded'],
            ]}
          />
          {isPointed ? (
            <FigureRow
              of={['cut', 'mitre-limit']}
              label="Mitre limit"
              hint="A tip that would reach farther, in clearances, is rounded."
              otherwise="4"
            />
          ) : null}
        </>
      )}
      <Choice
        of={['cut', 'apply']}
        usual="full"
        label="The cutter can apply"
        options={[
          ['', 'the whole placement'],
          ['rigid', 'turn and shift'],
          ['shift', 'a shift alone'],
        ]}
      />
      {asDrawn ? null : (
        <FigureRow
          of={['cut', 'smallest-land']}
          label="Smallest land, mm"
          name="Smallest land"
          hint="Thinner ones are reported."
          otherwise="1"
        />
      )}
      <FigureRow
        of={['pierced', 'kerf']}
        label="First cut’s width, mm"
        name="Width of the first cut, if it ran on the line"
        hint="If the first cut ran on the drawn line, openings are larger by half of it."
        otherwise={fixed(settings?.pierced ?? 0, 2)}
      />
    </Part>
  );
};

const ThePart = (): JSX.Element => (
  <Part title="The part">
    <Choice
      of={['fit', 'model']}
      usual="rigid"
      label="The part may have"
      options={[
        ['', 'moved and turned'],
        ['shift', 'only moved'],
        ['similarity', 'also changed its size'],
        ['affine', 'changed size and squareness'],
      ]}
    />
    <Choice
      of={['units']}
      label="Unit of the drawing"
      options={[
        ['', 'as it says'],
        ...['mm', 'cm', 'in', 'px', 'pt', 'm'].map((u): [string, string] => [u, u]),
      ]}
    />
    <FigureRow
      of={['dpi']}
      label="px to the inch"
      hint="Of a drawing that counts px: 96, 90 or 72, or what it was drawn at."
      otherwise="96"
    />
    <FigureRow
      of={['join']}
      label="Ends joined up to, mm"
      name="Ends joined"
      hint="Of loose lines: ends so far apart are one corner."
      otherwise="0.01"
    />
    <FigureRow
      of={['check', 'bow']}
      label="Bow, mm"
      name="Bow"
      hint="How far the middle of the panel’s length may be bowed off the chord of its ends."
      otherwise="not stated"
    />
    <FigureRow
      of={['check', 'size-change']}
      label="Growth, share"
      name="Growth or shrinkage"
      hint="0.0002 is 0.2 mm to the metre."
      otherwise="not stated"
    />
    <FigureRow
      of={['check', 'edge-sd']}
      label="Drawn edges, sd in mm"
      name="Drawn edges"
      hint="How truly the drawn edges are those of the piece; a drawing made from a scan says it itself."
      otherwise="by the drawing"
    />
  </Part>
);

const HowWellKnown = (): JSX.Element => {
  const { settings } = sheet.shown;
  return (
    <Part title="How well things are known">
      <FigureRow
        of={['fit', 'mark-sd']}
        label="Marks made, sd in mm"
        name="Marks made"
        hint="How truly the marks themselves were made: 2 of 3 lie within one sd, along each axis."
        otherwise={fixed(settings?.markSd ?? 0, 2)}
      />
      <FigureRow
        of={['fit', 'reading-sd-dof']}
        label="Behind the reading error"
        name="Degrees of freedom of the reading error"
        hint="From how many repeats, less those used up, the sd of one reading comes."
        otherwise="taken as known"
      />
      <FigureRow
        of={['fit', 'display-step']}
        label="Step of the display, mm"
        name="Step of the display"
        otherwise="as read"
      />
      <FigureRow
        of={['fit', 'pointing-sd']}
        label="Habit of the eye, sd in mm"
        name="Habit of the eye"
        hint="What is the same at every mark, and other than at the dots of the beam’s offset."
        otherwise="not stated"
      />
      <FigureRow
        of={['fit', 'pointing-bias']}
        label="The same, at most, mm"
        name="Habit of the eye, at most"
        otherwise="not stated"
      />
      <FigureRow
        of={['check', 'cut-sd']}
        label="Same cut again, sd in mm"
        name="Same cut again"
        hint="How far the machine lands elsewhere when it cuts the same file again."
        otherwise={fixed(settings?.cutSd ?? 0, 2)}
      />
      <FigureRow
        of={['check', 'kerf-sd']}
        label="Width of the beam, sd in mm"
        name="Width of the beam varies"
        hint="How much what the beam takes varies."
        otherwise={fixed(settings?.kerfSd ?? 0, 2)}
      />
      <FigureRow
        of={['check', 'accepted-risk']}
        label="Accepted risk, of 1"
        name="Accepted risk"
        hint="0.05: five of a hundred such jobs may touch."
        otherwise="0.05"
      />
    </Part>
  );
};
