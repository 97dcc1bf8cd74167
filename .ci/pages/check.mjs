// Opens pages of `fourfold review` as a reader does and says what is wrong:
//   node check.mjs [--pictures FOLDER] PAGE.html…
// Each page is opened at the width of a phone and of a desk, light and dark, and
// printed on A4 and Letter. Nothing may be fetched, nothing may be told to the
// console, axe-core may find no serious or critical fault (on the phone in light
// colours, at the desk in dark ones), nothing may be wider than the window, and no
// picture may be cut by an edge of the paper or stand on two sheets. On paper nobody can
// open a fold: all but the bars' ABC are printed open. --pictures keeps a picture of
// each window and the prints, to look at.
import { execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { basename, join, resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { pathToFileURL } from 'node:url'
import { Browser } from './browser.mjs'

const { values, positionals: files } = parseArgs({ allowPositionals: true, options: { pictures: { type: 'string' } } })
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const windows = [
  { name: 'phone', width: 390, height: 844, mobile: true },
  { name: 'desk', width: 1280, height: 900, mobile: false },
]
// Inches (ISO 216; ANSI/ASME Y14.1).
const papers = [{ name: 'A4', width: 8.27, height: 11.69 }, { name: 'Letter', width: 8.5, height: 11 }]

let faults = 0
function fault(page, where, what) {
  faults++
  console.error(`${basename(page)}, ${where}: ${what}`)
}

/** Opens a page in a window and gives the tab once it has loaded. */
async function open(browser, page, where, size, colours) {
  const address = pathToFileURL(resolve(page)).href
  let loaded
  const load = new Promise((done, fail) => {
    const limit = setTimeout(() => fail(new Error(`${page}, ${where}: does not load`)), 60_000)
    loaded = (error) => {
      clearTimeout(limit)
      if (error) fail(error)
      else done()
    }
  })
  load.catch(() => {}) // it is waited for below
  const tab = await browser.tab((method, params) => {
    const url = params.request?.url
    if (method === 'Network.requestWillBeSent' && url !== address && !url.startsWith('data:')) fault(page, where, `asks for ${url}`)
    if (method === 'Runtime.consoleAPICalled') fault(page, where, `console: ${params.args.map((a) => a.value ?? a.description).join(' ')}`)
    if (method === 'Log.entryAdded') fault(page, where, `console: ${params.entry.text}`)
    if (method === 'Runtime.exceptionThrown') fault(page, where, `fails: ${params.exceptionDetails.text}`)
    if (method === 'Inspector.targetCrashed') loaded(new Error(`${page}, ${where}: the tab has crashed`))
    if (method === 'Page.loadEventFired') loaded()
  })
  for (const domain of ['Inspector', 'Page', 'Network', 'Runtime', 'Log']) await tab.ask(`${domain}.enable`)
  await tab.ask('Emulation.setDeviceMetricsOverride', { width: size.width, height: size.height, mobile: size.mobile, deviceScaleFactor: 1 })
  await tab.ask('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value: colours }] })
  await tab.ask('Page.navigate', { url: address })
  await load
  return tab
}

/** What axe-core finds that matters (github.com/dequelabs/axe-core). */
const accessibility = `axe.run(document, { resultTypes: ['violations'] }).then((r) => r.violations
  .filter((v) => v.impact === 'serious' || v.impact === 'critical')
  .map((v) => v.id + ': ' + v.help + ' (' + v.nodes.length + ' times, first ' + v.nodes[0].target.join(' ') + '; '
    + [...v.nodes[0].any, ...v.nodes[0].all, ...v.nodes[0].none].map((c) => c.message).join('; ') + ')'))`

/** Words and shapes that reach beyond the edge of their own picture. */
const overflowing = `(() => {
  const out = []
  for (const svg of document.querySelectorAll('svg:not(.engraving)')) {
    const [x, y, w, h] = svg.getAttribute('viewBox').split(' ').map(Number)
    for (const t of svg.querySelectorAll('text, circle, rect')) {
      const b = t.getBBox()
      if (b.width && (b.x < x - 1 || b.y < y - 3 || b.x + b.width > x + w + 1 || b.y + b.height > y + h + 3))
        out.push('"' + (t.textContent || t.outerHTML) + '" reaches out of the picture ' + svg.getAttribute('aria-label'))
    }
  }
  return out.slice(0, 20)
})()`

async function read(browser, page, size, colours) {
  const where = `${size.name}, ${colours}`
  const tab = await open(browser, page, where, size, colours)
  const wide = await tab.run('document.documentElement.scrollWidth - innerWidth')
  if (wide > 0) fault(page, where, `is ${wide} pixels wider than the window`)
  await tab.run('for (const d of document.querySelectorAll("details")) d.open = true')
  for (const t of await tab.run(overflowing)) fault(page, where, t)
  if (size.mobile === (colours === 'light')) { // each width and each set of colours once: it takes its time
    await tab.run(axe)
    for (const v of await tab.run(accessibility)) fault(page, where, v)
  }
  if (values.pictures) await picture(tab, page, `${size.name}-${colours}`, size)
  await tab.close()
}

/** Keeps the page as pictures of at most 4,000 pixels in height. */
async function picture(tab, page, name, size) {
  const whole = await tab.run('document.documentElement.scrollHeight')
  for (let y = 0, n = 1; y < whole; y += 4000, n++) {
    const clip = { x: 0, y, width: size.width, height: Math.min(4000, whole - y), scale: 1 }
    const { data } = await tab.ask('Page.captureScreenshot', { clip, captureBeyondViewport: true })
    writeFileSync(join(values.pictures, `${basename(page, '.html')}-${name}-${n}.png`), Buffer.from(data, 'base64'))
  }
}

/** Puts a word into each corner of each picture that will be printed, and gives how many pictures there are. */
const corners = `(() => {
  let n = 0
  for (const svg of document.querySelectorAll('svg')) {
    const [x, y, w, h] = svg.getAttribute('viewBox').split(' ').map(Number)
    for (const [i, [cx, cy, anchor]] of [[x, y + 5, 'start'], [x + w, y + 5, 'end'], [x, y + h, 'start'], [x + w, y + h, 'end']].entries()) {
      const t = document.createElementNS('http://www.w3.org/2000/svg', 'text')
      t.setAttribute('x', cx); t.setAttribute('y', cy)
      t.setAttribute('style', 'font: 5px monospace; fill: #f0f; stroke: none; text-anchor: ' + anchor)
      t.textContent = 'corner' + n + 'x' + i
      svg.append(t)
    }
    n++
  }
  return n
})()`

/** Puts a word into each fold, and gives those that must be printed. */
const folds = `[...document.querySelectorAll('details')].map((fold, n) => {
  const word = (fold.matches('.abc') ? 'unprintedfold' : 'printedfold') + n
  fold.append(' ' + word)
  return word
})`

/** Prints a page and finds each picture's corners on the sheets, with pdftotext of poppler. */
async function print(browser, page, paper, folder) {
  const where = `printed on ${paper.name}`
  const tab = await open(browser, page, where, windows[1], 'light')
  const pictures = await tab.run(corners)
  const folded = await tab.run(folds)
  const { data } = await tab.ask('Page.printToPDF', { paperWidth: paper.width, paperHeight: paper.height, printBackground: true, preferCSSPageSize: true })
  await tab.close()
  const pdf = join(values.pictures ?? folder, `${basename(page, '.html')}-${paper.name}.pdf`)
  writeFileSync(pdf, Buffer.from(data, 'base64'))
  const words = execFileSync('pdftotext', ['-bbox', pdf, '-'], { maxBuffer: 1 << 28 }).toString()
  const found = new Map()
  let sheet = 0, width = 0, height = 0
  for (const m of words.matchAll(/<page width="([\d.]+)" height="([\d.]+)"|xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">corner(\d+)x(\d)</g)) {
    if (m[1]) {
      [sheet, width, height] = [sheet + 1, Number(m[1]), Number(m[2])]
      continue
    }
    const [x1, y1, x2, y2] = m.slice(3, 7).map(Number)
    const seen = found.get(m[7]) ?? { sheets: new Set(), corners: new Set() }
    if (x1 >= 0 && y1 >= 0 && x2 <= width && y2 <= height) seen.corners.add(m[8])
    seen.sheets.add(sheet)
    found.set(m[7], seen)
  }
  for (const word of folded) {
    const printed = words.includes(`>${word}<`)
    if (printed !== word.startsWith('printed')) fault(page, where, `${word} is ${printed ? '' : 'not '}on paper`)
  }
  if (pictures > 0 && found.size === 0) fault(page, where, 'shows no picture')
  for (const [n, seen] of found) {
    if (seen.sheets.size > 1) fault(page, where, `picture ${n} stands on sheets ${[...seen.sheets].join(' and ')}`)
    if (seen.corners.size < 4) fault(page, where, `picture ${n} on sheet ${[...seen.sheets]} is cut: it shows ${seen.corners.size} of its corners`)
  }
  return { sheets: sheet, pictures: found.size }
}

if (values.pictures) mkdirSync(values.pictures, { recursive: true })
const folder = mkdtempSync(join(tmpdir(), 'fourfold-pages-'))
const browser = new Browser(process.env.CHROMIUM ?? 'chromium')
try {
  for (const page of files) {
    for (const size of windows) for (const colours of ['light', 'dark']) await read(browser, page, size, colours)
    const prints = []
    for (const paper of papers) {
      const { sheets, pictures } = await print(browser, page, paper, folder)
      prints.push(`${paper.name} ${sheets} sheets, ${pictures} pictures`)
    }
    console.log(`${basename(page)}: looked at (${prints.join('; ')})`)
  }
} finally {
  await browser.close()
  rmSync(folder, { recursive: true, force: true })
}
console.log(faults ? `${faults} faults` : `review pages: ${files.length} hold`)
process.exitCode = faults || files.length === 0 ? 1 : 0
