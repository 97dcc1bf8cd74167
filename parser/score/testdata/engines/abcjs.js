// Reads tunes from the standard input, a JSON array of texts, and prints what
// abcjs plays of each: a JSON array of arrays of [tick, key], 1920 ticks a
// whole note.
const abcjs = require("abcjs")
const tunes = JSON.parse(require("fs").readFileSync(0, "utf8"))
console.log(JSON.stringify(tunes.map((text) => {
  try {
    const keys = []
    for (const tune of abcjs.parseOnly(text)) {
      const audio = tune.setUpAudio({ chordsOff: true })
      for (const track of audio.tracks)
        for (const e of track)
          if (e.cmd === "note") keys.push([Math.round(e.start * 1920), Math.round(e.pitch)])
    }
    return keys
  } catch (e) {
    return []
  }
})))
