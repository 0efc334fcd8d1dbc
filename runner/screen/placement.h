#pragma once
// Where on each screen the field stands: found once for a rig, kept in a file, used by every session.

#include <map>
#include <optional>
#include <string>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

struct PlacedSource {
    double x_px = 0.0;  // the field's centre, from the left edge of the drawable
    double y_px = 0.0;  // the field's centre, from the upper edge
    int width_px = 0;   // the size of the drawable on which it was placed
    int height_px = 0;
};

struct Placement {
    std::map<std::string, PlacedSource> sources;  // by name
    // The file that it came from; empty where fields stand in the middle of each screen.
    std::string file;
    std::string text;  // its bytes
};

// Throws one InputError with all faults: unknown keys, a centre outside its screen, another version.
Placement read_placement(const std::string& path);
Placement parse_placement(const std::string& text, const std::string& file);
std::string placement_text(const Placement& placement);

// Returns where the field's centre falls on a source's drawable: where it was placed, or else in the middle.
// InputError when the source was placed on another number of pixels.
PlacedSource placed(const Placement& placement, const std::string& source, int width_px, int height_px);

// InputErrors: the placement leaves out a source of this rig or names others, or sources that share a screen
// do not stand at the same place. Without a placement nothing is wrong.
void check_placement(const Placement& placement, const Setup& setup,
                     const std::vector<int>& screen_of_source);

}  // namespace isoseam
