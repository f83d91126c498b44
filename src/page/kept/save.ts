/** Files that leave the page: into the browser's folder for downloads. */
import type { CutFormat } from '../../internal.js';
import { client, sheet } from '../sheet.js';
import { written } from './job-edit.js';

/** Of the title, as far as every file system takes it. */
export const baseName = (): string => {
  const { job, path } = sheet.state.work;
  const name = written(job, ['title']) ?? path.replace(/\.[^.]*$/, '');
  return name.replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '') || 'job';
};

export const saveCut = (format: CutFormat): void => {
  const name = `${baseName()}-cut.${format}`;
  client.ask({ kind: 'save', format }, (answer) => {
    if (answer.stage !== 'saved') return;
    download(name, answer.text, format === 'svg' ? 'image/svg+xml' : 'application/octet-stream');
  });
};

export const saveJob = (): void => {
  const { job, path } = sheet.state.work;
  download(
    path === 'job.yaml' ? `${baseName()}.yaml` : path.replace(/^.*[/\\]/, ''),
    job,
    'application/yaml',
  );
};

export const download = (name: string, text: string | Uint8Array, type: string): void => {
  const url = URL.createObjectURL(new Blob([text as BlobPart], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
};
