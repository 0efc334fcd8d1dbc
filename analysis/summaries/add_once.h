#pragma once
// This function adds to a list what the list does not hold yet.

#include <algorithm>
#include <vector>

namespace isoseam {

template <class Value>
void add_once(std::vector<Value>& list, const Value& value) {
    if (std::find(list.begin(), list.end(), value) == list.end())
        list.push_back(value);
}

}  // namespace isoseam
