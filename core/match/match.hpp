#pragma once
/// Who has whom, over the whole play: the one answer that edges, pictures, words and reps all use.
///
/// From the matching (matching.hpp) come spells, one protector's time on one rusher; a spell is a rep unless
/// - its man is never within 2 yd of the rusher while no farther from the passer than he; or
/// - it had less than 0.5 s within `meet`, and another man with a spell on the same rusher more in all, up to the
///   end of reps (of a double team the man who stays has him before his own spell begins): that is help, unless he
///   was beaten in it and no later man of that rusher had contact by 0.5 s after the beat; or
/// - another man, later and with more time within `meet`, had contact by 0.75 s after he was beaten, and his disc
///   lay on the rusher's straight line at the beat: the rusher was passed on, and nobody beaten; or
/// - he was beaten in it with less than 0.5 s within `meet` before, and an earlier man of that rusher, with more
///   time within `meet` in all, unbeaten, with no other rusher then or later, was still within `meet` of him when
///   the spell began, and, were his own spell to last as long, beaten no later than 0.5 s after: the rusher only
///   brushed the man on his way past the other, whose spell lasts so long, and whose loss it is.
/// A rusher without a spell, in order of id, is that protector's, from his first frame to the end of reps, who has
/// no spell and came nearest to him, within `engage`, while no farther from the passer than he. Who is left is
/// free.
///
/// The man who has a rusher, in every frame: the man of his rep then running (of several the one begun last), else
/// of the one ended last, else of the first to come; ties: the lower id. So a beaten man stays charged until
/// another's rep begins, to the last frame of the play; an exchange changes him once; who chips, or helps in a
/// double team, is never he. Who let his rusher go (a screen) has him no longer from then on: the first man still
/// to come has, else nobody.
///
/// A clip that is cut off before the play ends has no future: before contact the man is provisional, as another may yet
/// meet the rusher.

#include <vector>

#include "match/duel.hpp"
#include "match/matching.hpp"
#include "play/scene.hpp"
#include "play/span.hpp"
#include "rush/blocker.hpp"

namespace shortedge {

struct Rep {
  Spell spell;
  Duel duel;
};

struct Match {
  RepSpan span;
  std::vector<Rep> reps;    ///< by rusher, then by their start
  std::vector<Rep> others;  ///< spells that are no rep, in that order: help, passed on, brushed, never between the two
  Matching man;             ///< [rusher in Play::rushers][frame]: who has him; nobody: he is free, or was let go
};

/// The rules must be valid. Beats have their sides: outside or inside of the man as measured in that frame
/// (rush/blocker.hpp: PassedSide); of a man without a side left or right, by which side of his line to the passer the
/// rusher is on.
Match match_play(const Play& play, const Motion& motion, const Rules& rules);

/// How each rusher stands to the man who has him, frame after frame; asked for every frame in order.
class Followed {
 public:
  Followed(const Play& play, const Motion& motion, const Match& match)
      : play_(play), motion_(motion), match_(match), sides_(play.rushers.size()) {}

  /// `scene` is the frame's. The passer must be present. What a free rusher is outside of is not known here: outside is
  /// then false.
  Blocking see(std::size_t frame, const Scene& scene, const Rushing& rusher, const Rules& rules);

 private:
  const Play& play_;
  const Motion& motion_;
  const Match& match_;
  std::vector<PassedSide> sides_;
};

}  // namespace shortedge
