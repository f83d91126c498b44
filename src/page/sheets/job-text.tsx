/** The job and the machine as they are saved: every key that a file may hold is said here where no line of the sheet has it. */
import type { JSX } from 'preact';
import { parseDocument } from 'yaml';
import { machinePath } from '../kept/job-edit.js';
import type { Work } from '../kept/state.js';
import { act, settle, sheet } from '../sheet.js';
import { Part } from './form.js';

const decoder = new TextDecoder();
const encoder = new TextEncoder();

/** What is typed while it is no YAML stays in its field. */
const jobKey = 'text:job';
const machineKey = 'text:machine';

const broken = (text: string): string | undefined => {
  const [first] = parseDocument(text).errors;
  return first === undefined ? undefined : first.message.split('\n')[0];
};

const typeText = (key: string, text: string, into: (work: Work) => Work): void =>
  act(`type ${key}`, (work) => {
    const { [key]: _, ...typing } = work.typing;
    return broken(text) === undefined
      ? { ...into(work), typing: key === jobKey ? {} : typing }
      : { ...work, typing: { ...typing, [key]: text } };
  });

export const JobText = (): JSX.Element => {
  const { job, typing, files } = sheet.state.work;
  const path = machinePath(job);
  const bytes = path === undefined ? undefined : files.get(path);
  const profile = bytes === undefined ? undefined : decoder.decode(bytes);
  return (
    <Part title="The job as it is saved">
      <p class="hint">
        Whatever the sheet has no line for is written here, such as material, plan.allowed or cut.tolerance.
      </p>
      <Text
        name="The job as text"
        value={typing[jobKey] ?? job}
        onType={(text) => typeText(jobKey, text, (work) => ({ ...work, job: text }))}
      />
      {path === undefined || profile === undefined ? null : (
        <>
          <p class="hint">{path.replace(/^.*[/\\]/, '')}, the machine’s profile:</p>
          <Text
            name="The profile as text"
            value={typing[machineKey] ?? profile}
            onType={(text) =>
              typeText(machineKey, text, (work) => ({
                ...work,
                files: new Map([...work.files, [path, encoder.encode(text)]]),
              }))
            }
          />
        </>
      )}
      <p class="hint">
        Left to the command line: several jobs in one call, figures as JSON, pictures as PNG, outlines from a
        scan (“reseat scan”), and a cut of readings that contradict each other (“--unproven”).
      </p>
    </Part>
  );
};

const Text = ({
  name,
  value,
  onType,
}: {
  readonly name: string;
  readonly value: string;
  readonly onType: (text: string) => void;
}): JSX.Element => {
  const why = broken(value);
  return (
    <>
      <textarea
        class="jobtext"
        aria-label={name}
        value={value}
        spellcheck={false}
        autocomplete="off"
        aria-invalid={why === undefined ? undefined : 'true'}
        onInput={(event) => onType(event.currentTarget.value)}
        onBlur={settle}
      />
      {why === undefined ? null : <p class="refused">{why} It is not taken before that.</p>}
    </>
  );
};
