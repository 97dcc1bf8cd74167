// Reads tunes from the standard input, a JSON array of texts, and prints what
// abc2svg finds in each: a JSON array of arrays of [tick, key], 1920 ticks a
// whole note.
const { abc2svg } = require("abc2svg/abc2svg-1.js")
const tunes = JSON.parse(require("fs").readFileSync(0, "utf8"))
const NOTE = abc2svg.C.NOTE
console.log(JSON.stringify(tunes.map((text) => {
  const keys = []
  const user = {
    img_out() {},
    errmsg() {},
    read_file() { return "" },
    get_abcmodel(first) {
      for (let s = first; s; s = s.ts_next) {
        if (s.type !== NOTE || !s.dur) continue
        for (const n of s.notes)
          if (!n.tie_s) keys.push([Math.round((s.time * 1920) / 1536), Math.round(n.midi)])
      }
    },
  }
  try {
    new abc2svg.Abc(user).tosvg("tune", text)
  } catch (e) {
    return []
  }
  return keys
})))
