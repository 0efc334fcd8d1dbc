#pragma once
// The text of the InputError that a call throws, or "no error".

#include <string>

#include "base/errors.h"

namespace isoseam::test {

std::string input_error_text(const auto& call) {
    try {
        call();
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

}  // namespace isoseam::test
