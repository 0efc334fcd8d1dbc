#pragma once
// Draws the field of a protocol as a picture, without a screen. The picture shows both halves of one
// condition at the predicted match, in the codes of the calibrated screen.

#include <string>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

struct PreviewOptions {
    std::string path;       // of the PNG file to write
    std::string level;      // "5 %", or a plain number, along the first axis; empty: at the predicted match
    std::string condition;  // empty: the first condition
    DitherKind dither = DitherKind::none;
    bool force = false;  // whether an older file is replaced
};

// InputError for an unknown condition. Where the file may not or cannot be written, throws the errors of
// output_file.h (key "--out").
void write_preview(const Setup& setup, const PreviewOptions& options);

}  // namespace isoseam
