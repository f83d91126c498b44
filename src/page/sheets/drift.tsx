/** Whether the machine has drifted since its profile was measured: from the readings of jobs done on it. */
import type { JSX } from 'preact';
import { useRef, useState } from 'preact/hooks';
import { filesOfJobs } from '../kept/open.js';
import { client, sheet } from '../sheet.js';

const decoder = new TextDecoder();

export const Drift = ({ date }: { readonly date: string }): JSX.Element => {
  const input = useRef<HTMLInputElement>(null);
  const [said, say] = useState<string>();
  const take = async (chosen: readonly File[]): Promise<void> => {
    const given = await Promise.all(
      chosen.map(async (file) => [file.name, new Uint8Array(await file.arrayBuffer())] as const),
    );
    const jobs = given
      .filter(([name]) => /\.(ya?ml|json)$/i.test(name))
      .map(([path, bytes]) => ({ path, text: decoder.decode(bytes) }))
      .filter(({ text }) => /^\s*["']?drawing["']?\s*:/m.test(text) || text.includes('"drawing"'));
    const { work } = sheet.state;
    const all = jobs.length > 0 ? jobs : work.job === '' ? [] : [{ path: work.path, text: work.job }];
    if (all.length === 0) return;
    const files = filesOfJobs(
      all.map(({ text }) => text),
      new Map([...work.files, ...given]),
    );
    client.askBeside(files, { kind: 'drift', jobs: all, date }, (answer) => {
      if (answer.stage === 'drifted') say(answer.text.trim());
      else if (answer.stage === 'fault')
        say(`${answer.fault.file ?? ''}: found ${answer.fault.found}. ${answer.fault.next}`);
    });
  };
  return (
    <section class="part">
      <h2>4. Has it drifted?</h2>
      <p class="hint">
        From the readings of several jobs done on this machine: choose their job files, with their drawings
        and the profile. Nothing of the sheet is changed.
      </p>
      <p class="acts3">
        <button type="button" onClick={() => input.current?.click()}>
          Choose jobs
        </button>
        <button type="button" disabled={sheet.state.work.job === ''} onClick={() => void take([])}>
          This job alone
        </button>
      </p>
      <input
        ref={input}
        id="drift-files"
        type="file"
        multiple
        hidden
        aria-label="Jobs to compare"
        onChange={(event) => {
          const target = event.currentTarget;
          void take([...(target.files ?? [])]).then(() => {
            target.value = '';
          });
        }}
      />
      {said === undefined ? null : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: wide text is scrolled with keys
        <pre role="status" tabIndex={0}>
          {said}
        </pre>
      )}
    </section>
  );
};
