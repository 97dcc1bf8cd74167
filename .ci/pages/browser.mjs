// A headless Chromium, spoken to over two pipes in the Chrome DevTools Protocol
// (chromedevtools.github.io/devtools-protocol).
import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** The longest that one answer may take, in milliseconds. */
const patience = 300_000

export class Browser {
  #last = 0
  #waiting = new Map()
  #pages = new Map()

  constructor(program) {
    this.folder = mkdtempSync(join(tmpdir(), 'fourfold-browser-'))
    const flags = ['--headless', '--remote-debugging-pipe', '--disable-gpu', '--hide-scrollbars', `--user-data-dir=${this.folder}`]
    if (process.getuid?.() === 0) flags.push('--no-sandbox') // it refuses a sandbox to root
    this.process = spawn(program, flags, { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] })
    this.process.on('exit', () => this.#fail(new Error(`${program} has ended`)))
    this.process.on('error', (e) => this.#fail(e))
    const pieces = []
    this.process.stdio[4].on('data', (data) => {
      for (let end; (end = data.indexOf(0)) >= 0; data = data.subarray(end + 1)) {
        pieces.push(data.subarray(0, end))
        this.#read(JSON.parse(Buffer.concat(pieces).toString()))
        pieces.length = 0
      }
      pieces.push(data)
    })
  }

  #fail(error) {
    for (const { reject } of this.#waiting.values()) reject(error)
    this.#waiting.clear()
  }

  #read(message) {
    if (message.id === undefined) {
      this.#pages.get(message.sessionId)?.(message.method, message.params)
      return
    }
    const call = this.#waiting.get(message.id)
    this.#waiting.delete(message.id)
    clearTimeout(call?.timer)
    if (message.error) call?.reject(new Error(`${call.method}: ${message.error.message}`))
    else call?.resolve(message.result)
  }

  /** Asks for one thing and gives its answer. */
  ask(method, params = {}, sessionId = undefined) {
    return new Promise((resolve, reject) => {
      const id = ++this.#last
      const timer = setTimeout(() => reject(new Error(`${method}: no answer`)), patience)
      this.#waiting.set(id, { method, resolve, reject, timer })
      this.process.stdio[3].write(JSON.stringify({ id, method, params, sessionId }) + '\0')
    })
  }

  /** Opens an empty tab; told gets each event of it. */
  async tab(told) {
    const { targetId } = await this.ask('Target.createTarget', { url: 'about:blank' })
    const { sessionId } = await this.ask('Target.attachToTarget', { targetId, flatten: true })
    this.#pages.set(sessionId, told)
    return {
      ask: (method, params) => this.ask(method, params, sessionId),
      /** Runs a script in the page and gives its value. */
      run: async (expression) => {
        const { result, exceptionDetails } = await this.ask('Runtime.evaluate',
          { expression, awaitPromise: true, returnByValue: true }, sessionId)
        if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text)
        return result.value
      },
      close: () => {
        this.#pages.delete(sessionId)
        return this.ask('Target.closeTarget', { targetId })
      },
    }
  }

  async close() {
    const ended = new Promise((resolve) => this.process.once('exit', resolve))
    const limit = setTimeout(() => this.process.kill('SIGKILL'), 10_000)
    this.ask('Browser.close').catch(() => {}) // it may end before it answers
    await ended
    clearTimeout(limit)
    rmSync(this.folder, { recursive: true, force: true, maxRetries: 5 })
  }
}
