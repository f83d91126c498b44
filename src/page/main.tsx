/** The page: begins with what it came with, or with what was kept, and draws the sheet. */
import { render } from 'preact';
import { App } from './app.js';
import { begin, client, put } from './sheet.js';

const textOf = (id: string): string => document.getElementById(id)?.textContent?.trim() ?? '';

window.addEventListener('error', ({ message }) => put({ mistake: message }));
window.addEventListener('unhandledrejection', ({ reason }) => put({ mistake: String(reason) }));

const came = textOf('given');
void begin(came === '' ? 'null' : came).then(() => {
  render(<App />, document.getElementById('page')!);
});
void client.start(textOf('core'));
