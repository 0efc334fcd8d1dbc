#include "runner/screen/sounds.h"

#include "base/errors.h"

namespace isoseam {

std::vector<Note> notes_of(Sound sound) {
    switch (sound) {
        case Sound::accepted:
            return {{660.0, 0.05}};
        case Sound::interval:
            return {{440.0, 0.04}};
        case Sound::right:  // the tone rises
            return {{520.0, 0.07}, {780.0, 0.09}};
        case Sound::wrong:  // the tone is low, and no harsher
            return {{230.0, 0.16}};
    }
    ISOSEAM_CHECK(false, "a sound without notes");
    return {};
}

}  // namespace isoseam
