#pragma once
// Defines how the sounds of a session sound.

#include <vector>

#include "runner/station/station.h"
#include "stimuli/gl/sound_player.h"

namespace isoseam {

std::vector<Note> notes_of(Sound sound);

}  // namespace isoseam
