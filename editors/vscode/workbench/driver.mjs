// VS Code's workbench in a browser, and what a user does in it. Every wait is for
// a state; the limit only ends a run in which it never comes.
import { spawn } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { dirname, join } from 'node:path';

const { chromium } = await import(process.env.FOURFOLD_PLAYWRIGHT);
export const limit = 60_000;

const settings = {
  'security.workspace.trust.enabled': false, 'workbench.startupEditor': 'none', 'workbench.tips.enabled': false,
  'git.enabled': false, 'files.autoSave': 'off', 'extensions.autoCheckUpdates': false, 'extensions.ignoreRecommendations': true, 'telemetry.telemetryLevel': 'off',
  'editor.hover.delay': 100, 'editor.minimap.enabled': false, 'editor.autoClosingBrackets': 'never', 'chat.commandCenter.enabled': false,
  'workbench.secondarySideBar.defaultVisibility': 'hidden', 'window.autoDetectColorScheme': true,
  'workbench.preferredLightColorTheme': 'Default Light Modern', 'workbench.preferredDarkColorTheme': 'Default Dark Modern',
};

function freePort() {
  return new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}

export class Workbench {
  static async start(scratch, folder) {
    const bench = new Workbench();
    bench.scratch = scratch;
    bench.writeSettings();
    const port = await freePort();
    bench.origin = `http://127.0.0.1:${port}`;
    bench.server = spawn(process.execPath, [process.env.FOURFOLD_CODE_SERVER, '--auth', 'none', '--bind-addr', `127.0.0.1:${port}`,
      '--user-data-dir', join(scratch, 'user'), '--extensions-dir', join(scratch, 'extensions'), '--disable-telemetry',
      '--disable-update-check', '--disable-workspace-trust', '--disable-getting-started-override'], { stdio: 'ignore' });
    for (let i = 0; i < 300 && !await fetch(`${bench.origin}/healthz`).then((r) => r.ok, () => false); i++) await pause(200);
    bench.browser = await chromium.launch({
      executablePath: '/usr/bin/chromium',
      args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
        '--disable-component-update', '--disable-sync'],
    });
    bench.page = await bench.browser.newPage({ viewport: { width: 1360, height: 860 }, colorScheme: 'light' });
    bench.page.setDefaultTimeout(limit);
    // What pages inside the workbench, such as the review, ask of other machines.
    // Names under vscode-resource are VS Code's for files of the extension.
    const inside = new RegExp(`^\\w+://(127\\.0\\.0\\.1:${port}|[^/]*\\.vscode-resource\\.vscode-cdn\\.net)/`);
    bench.outside = [];
    bench.page.on('request', (r) => {
      if (/^(https?|wss?):/.test(r.url()) && !inside.test(r.url()) && r.frame() !== bench.page.mainFrame()) bench.outside.push(r.url());
    });
    await bench.page.goto(`${bench.origin}/?folder=${encodeURIComponent(folder)}`);
    await bench.page.waitForSelector('.monaco-workbench');
    await bench.page.waitForSelector('.explorer-viewlet .monaco-list-row');
    return bench;
  }

  // writeSettings lays out the user's settings before the start.
  writeSettings() {
    const file = join(this.scratch, 'user', 'User', 'settings.json');
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, JSON.stringify(settings, null, 2));
  }

  async keys(...keys) {
    for (const key of keys) await this.page.keyboard.press(key);
  }

  async type(text) {
    await this.page.keyboard.insertText(text);
  }

  // open opens a file of the folder from the explorer and gives the moment of that.
  async open(name) {
    const row = this.page.locator('.explorer-viewlet .monaco-list-row', { hasText: name });
    await row.waitFor();
    const start = Date.now();
    await row.dblclick();
    return start;
  }

  // run takes a command from the palette, which closes again when something else
  // takes the keys meanwhile.
  async run(command) {
    const input = this.page.locator('.quick-input-widget input.input:visible, .quick-input-widget input[type="text"]:visible').first();
    const row = this.page.locator('.quick-input-list .monaco-list-row', { hasText: command }).first();
    await this.await(async () => {
      await this.keys('F1');
      try {
        await input.fill('>' + command, { timeout: 3000 });
        await row.waitFor({ timeout: 5000 });
        return true;
      } catch {
        return false;
      }
    }, `the command ${command}`);
    await this.keys('Enter');
  }

  // goTo puts the cursor at a line and column, both from 1, in the first editor group.
  async goTo(line, column) {
    await this.keys('Control+1', 'Control+G');
    await this.page.locator('.quick-input-widget input').fill(`:${line}:${column}`);
    await this.keys('Enter');
    await this.await(async () => (await this.cursor())?.line === line, `line ${line}`);
  }

  // cursor reads the place from the status bar, which shows it for the text alone.
  async cursor() {
    await this.keys('Control+1');
    const text = await this.page.locator('#status\\.editor\\.selection').textContent().catch(() => '');
    const found = /Ln (\d+), Col (\d+)/.exec(text);
    return found && { line: Number(found[1]), column: Number(found[2]) };
  }

  // problems reads the rows of the Problems panel.
  async problems() {
    return this.page.locator('.markers-panel .monaco-list-row').evaluateAll((rows) => rows.map((r) => r.getAttribute('aria-label') ?? ''));
  }

  // lines reads the text on the screen of the first editor.
  async lines() {
    const text = await this.page.locator('.editor-instance .view-lines').first().innerText();
    return text.replace(/\u00a0/g, ' ');
  }

  async status(pattern) {
    const all = await this.page.locator('.statusbar-item').allTextContents();
    return all.find((t) => pattern.test(t));
  }

  // frame is the page of the review inside its two frames.
  async frame() {
    for (const frame of this.page.frames()) {
      if (await frame.locator('#score svg').count().catch(() => 0) > 0) return frame;
    }
    return undefined;
  }

  async await(condition, what) {
    const end = Date.now() + limit;
    for (;;) {
      const found = await condition();
      if (found) return found;
      if (Date.now() > end) throw new Error(`waited in vain: ${what}`);
      await pause(50);
    }
  }

  picture(name) {
    return this.page.screenshot({ path: join(process.env.FOURFOLD_PICTURE_FOLDER, name + '.png') });
  }

  async stop() {
    await this.browser?.close();
    this.server.kill('SIGTERM');
    await new Promise((resolve) => (this.server.exitCode !== null ? resolve() : this.server.on('exit', resolve)));
  }
}

export function pause(milliseconds) {
  return new Promise((resolve) => setTimeout(resolve, milliseconds));
}
