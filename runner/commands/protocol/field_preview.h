#pragma once
// The field of a protocol as a picture, without a screen: both halves of one condition at the predicted
// match, in the codes of the calibrated screen.

#include <string>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

struct PreviewOptions {
    std::string path;       // PNG
    std::string level;      // "5 %", or a plain number, along the first axis; empty: at the predicted match
    std::string condition;  // empty: the first
    DitherKind dither = DitherKind::none;
    bool force = false;  // whether an older file is replaced
};

// InputError for an unknown condition; of output_file.h (key "--out") where the file may not or cannot be
// written.
void write_preview(const Setup& setup, const PreviewOptions& options);

}  // namespace isoseam
