import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { workshop } from './workshop.js';

const script = async (shell: string): Promise<string> => {
  const { status, out, err } = await workshop().call('completion', shell);
  expect(err).toBe('');
  expect(status).toBe(0);
  return out;
};

const has = (shell: string): boolean => spawnSync(shell, ['-c', 'true']).error === undefined;

describe('completion', () => {
  it('in bash offers commands, the commands below them and their options', async () => {
    const { folder } = workshop();
    const offered = `${await script('bash')}
offered() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _reseat; echo "\${COMPREPLY[*]}"; }
offered reseat ch
offered reseat calibrate be
offered reseat calibrate bed --pro
offered reseat cut job.yaml --fo
offered reseat cut -o ''
offered reseat cut '$(touch hurt)' --js
offered reseat fit job`;
    // Started from a shell that is no terminal, bash may read its own settings first, which -u can break.
    const run = spawnSync('bash', ['--noprofile', '--norc', '-c', `set -u\n${offered}`], {
      cwd: folder,
      encoding: 'utf8',
      env: { ...process.env, BASH_ENV: '' },
    });
    expect(run.stderr).toBe('');
    expect(run.stdout.split('\n')).toEqual([
      'check',
      'bed beam',
      '--profile',
      '--format --force',
      '',
      '--json',
      '',
      '',
    ]);
  });

  it.skipIf(!has('zsh'))('in zsh is a script that zsh reads', async () => {
    const run = spawnSync('zsh', ['-fc', `autoload -Uz compinit; compinit -D; ${await script('zsh')}`]);
    expect(run.stderr.toString()).toBe('');
    expect(run.status).toBe(0);
  });

  it.skipIf(!has('fish'))('in fish offers commands and options', async () => {
    const { folder } = workshop();
    writeFileSync(join(folder, 'reseat.fish'), await script('fish'));
    const run = spawnSync(
      'fish',
      ['-c', 'source reseat.fish; complete -C "reseat calibrate be"; complete -C "reseat cut --fo"'],
      { cwd: folder, encoding: 'utf8', env: { ...process.env, HOME: folder } },
    );
    expect(run.stdout.split('\n').map((line) => line.split('\t')[0])).toEqual([
      'beam',
      'bed',
      '--force',
      '--format',
      '',
    ]);
  });

  it('names the shells that it knows', async () => {
    const { status, err } = await workshop().call('completion', 'bsh');
    expect(status).toBe(2);
    expect(err).toContain('Did you mean bash?');
  });
});
