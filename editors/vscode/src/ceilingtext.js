// The words of the status item.

// say gives what the status bar says about a tune, in text with an icon of VS
// Code, and in full as a tooltip. A tune with several harps shows the hardest part.
function say(tune) {
  const title = tune.title || `Tune ${tune.number}`;
  if (tune.players.length === 0) {
    return { text: '$(music) no harp', tooltip: `${title}: no part for a harp was found. A line “%%fourfold harp RH LH” says which voices are one.` };
  }
  const hardest = tune.players.reduce((a, b) => (b.load > a.load ? b : a));
  const lines = tune.players.map((p) => (p.name ? `${p.name}: ` : '') + p.text);
  return { text: short(hardest), tooltip: [title, ...lines, 'Click to open the review beside the score.'].join('\n') };
}

function short(player) {
  if (!player.holds) return '$(check) no limit of tempo';
  const asked = player.assumed ? `${player.asked} assumed` : `${player.asked} asked`;
  const sign = player.load > 1 ? '$(warning)' : '$(check)';
  return `${sign} holds up to ${player.holds} (${asked})`;
}

module.exports = { say };
