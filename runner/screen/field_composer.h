#pragma once
// Makes the picture of one window from the lights of a session, for the presenter and for a preview without a
// screen.

#include <functional>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "runner/screen/placement.h"
#include "runner/station/station.h"
#include "stimuli/picture.h"

namespace isoseam {

// Composes pictures for one setup. All sources must have three primaries: InputError otherwise. `setup`
// outlives it.
class FieldComposer {
  public:
    explicit FieldComposer(const Setup& setup);

    // The picture of a window that is lit by the sources for which `lit` holds; the half of any other source,
    // and surround and fixation mark unless the field's source is lit, stay dark. The composer outlives the
    // picture.
    FieldPicture picture(const FieldLayout& layout, int bits, const FieldLights& lights,
                         const std::function<bool(int source)>& lit, const Dither& dither = {}) const;
    // Returns the code of a light on the field's source, for plain backgrounds.
    std::array<std::uint16_t, 3> background(const LinearDrive& linear, int bits) const;

  private:
    // Lights the ring, by the condition where it has rings of its own, else by the protocol.
    void light_rings(const FieldLights& lights, int bits, FieldPicture& picture) const;

    const Setup& setup_;
    std::vector<ToneTable> tones_;  // by source
};

// Returns where the field falls on a screen of this size, by the calibration's pixel pitch: where it was
// placed, or else in the middle. InputError where it was placed on a screen of another size.
ViewingGeometry viewing_geometry(const Setup& setup, int source, int width_px, int height_px,
                                 const Placement& placement = {});

}  // namespace isoseam
