#pragma once
// A list that rarely has more than three items.

#include <boost/container/small_vector.hpp>
#include <span>
#include <vector>

namespace isoseam {

// Three items are kept in place. Records come by the million, and a tenth of the time of reading them went to
// the heap.
template <class Item>
class Few : public boost::container::small_vector<Item, 3> {
  public:
    using boost::container::small_vector<Item, 3>::small_vector;
    Few() = default;
    // NOLINTNEXTLINE(google-explicit-constructor): the same list, kept elsewhere
    Few(const std::vector<Item>& items)
        : boost::container::small_vector<Item, 3>(items.begin(), items.end()) {}
    // NOLINTNEXTLINE(google-explicit-constructor)
    operator std::span<const Item>() const { return {this->data(), this->size()}; }

    friend bool operator==(const Few& few, const std::vector<Item>& items) { return few == Few(items); }
};

}  // namespace isoseam
