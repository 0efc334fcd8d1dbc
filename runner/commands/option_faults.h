#pragma once
// Faults of what was written for an option.
//
//     settle_s = reading_option("--pause", [&] { return parse_quantity(word, Dimension::duration_s); });

#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {

// Returns what `call` returns. `change` is applied to each fault of an InputError on its way.
template <class Call, class Change>
auto changing_faults(const Call& call, const Change& change) {
    try {
        return call();
    } catch (const InputError& error) {
        std::vector<Fault> faults = error.faults();
        for (Fault& fault : faults)
            change(fault);
        throw InputError(faults);
    }
}

// Returns what `read` returns. A fault gets the option as key, and no column.
template <class Read>
auto reading_option(const std::string& option, const Read& read) {
    return changing_faults(read, [&](Fault& fault) {
        fault.key = option;
        fault.column = 0;
    });
}

// Adds the faults of an InputError to a list, so that others can be found too.
template <class Call>
void collect_faults(std::vector<Fault>& faults, const Call& call) {
    try {
        call();
    } catch (const InputError& error) {
        faults.insert(faults.end(), error.faults().begin(), error.faults().end());
    }
}

// Throws an InputError with these faults, if there are any.
inline void refuse(const std::vector<Fault>& faults) {
    if (!faults.empty())
        throw InputError(faults);
}

}  // namespace isoseam
