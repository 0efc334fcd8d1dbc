#pragma once
// A list that rarely has more than three items.
//
//     const Few<double> start{0.01, -0.1};

#include <boost/container/small_vector.hpp>
#include <span>
#include <vector>

namespace isoseam {

// The first three items are kept in place, without memory from the heap. Records come by the million, and a
// tenth of the time of reading them went to the heap.
template <class Item>
class Few : public boost::container::small_vector<Item, 3> {
  public:
    using boost::container::small_vector<Item, 3>::small_vector;
    Few() = default;
    // NOLINTNEXTLINE(google-explicit-constructor): it is the same list, kept elsewhere
    Few(const std::vector<Item>& items)
        : boost::container::small_vector<Item, 3>(items.begin(), items.end()) {}
    // NOLINTNEXTLINE(google-explicit-constructor)
    operator std::span<const Item>() const { return {this->data(), this->size()}; }

    friend bool operator==(const Few& few, const std::vector<Item>& items) { return few == Few(items); }
};

}  // namespace isoseam
