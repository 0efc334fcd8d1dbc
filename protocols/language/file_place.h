#pragma once
// Where something stands in a protocol file, for messages.
namespace isoseam {

struct Place {
    int line = 0;
    int column = 0;
};

}  // namespace isoseam
