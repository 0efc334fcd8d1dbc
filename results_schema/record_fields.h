#pragma once
// The list of the fields of a record. A record names each of its fields once, in its function fields(), in
// the order of the columns of the tables. The record's JSON (records_json.cpp), its text (setting_text.cpp),
// the quick reader of that text (written_line.cpp) and its row of a table (records_table.cpp) follow from the
// list. A new field is one edit of the record and one of its schema; record_fields_test.cpp fails until both
// agree.
//
//     for_each_field<HalfRecord>([&](auto field) { print(field.kName, field.of(setting.adjusted)); });

#include <algorithm>
#include <array>
#include <cstdint>
#include <limits>
#include <numeric>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <utility>

namespace isoseam {

// What is known of a field besides its name and its place. The limits are those of
// schema/settings.schema.json. A text holds at least one letter.
struct FieldTerms {
    // The smallest and the greatest number, alone or in a list.
    double least = -std::numeric_limits<double>::infinity();
    double most = std::numeric_limits<double>::infinity();
    // How many items a list has.
    std::size_t fewest = 1;
    std::size_t most_items = 16;
    // The only words that a text may be. If there are none, any text will do.
    std::span<const std::string_view> words{};
    // Whether the JSON must have the field. An optional value may be missing without this word.
    bool required = true;
    // The column of the tables, where its name is not the field's.
    std::string_view column{};
    bool in_table = true;
    // A column holds the sum of the list.
    bool summed = false;
    // For a list with one item per axis, axis_column names the column of each item (axis_1_... and so on).
    // further_column names the column that holds the items from the fourth axis on (further_...). A list
    // without further_column has three items at most.
    std::string_view axis_column{};
    std::string_view further_column{};
};

template <class Record, class Value>
struct RecordField {
    std::string_view name;
    Value Record::*member;
    FieldTerms terms;
};

template <class Record, class Value>
constexpr RecordField<Record, Value> listed(std::string_view name, Value Record::*member,
                                            const FieldTerms& terms = {}) {
    return {name, member, terms};
}

inline constexpr double kMostTrials = 1'000'000;
inline constexpr double kMostOfACount = 1'000'000'000;
inline constexpr FieldTerms kCounted{.least = 0, .most = kMostOfACount};  // a number of things, from 0
inline constexpr FieldTerms kNumbered{.least = 1, .most = kMostTrials};   // a place in an order, from 1

template <class Record>
concept Fielded = requires {
    Record::fields();
};

template <class Value>
concept ListOfItems = requires(Value& list) {
    list[0] = *list.begin();
}
&&!std::is_same_v<Value, std::string>;

template <class Value>
inline constexpr bool kIsOptional = false;
template <class Value>
inline constexpr bool kIsOptional<std::optional<Value>> = true;

template <Fielded Record>
inline constexpr auto kFields = Record::fields();
template <Fielded Record>
inline constexpr std::size_t kFieldCount = std::tuple_size_v<decltype(Record::fields())>;

// The places in the list in the order of the record's text: the JSON library sorts names by their bytes.
template <Fielded Record>
inline constexpr auto kTextOrder = [] {
    const auto names =
        std::apply([](const auto&... fields) { return std::array{fields.name...}; }, kFields<Record>);
    std::array<std::size_t, kFieldCount<Record>> order{};
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return names[a] < names[b]; });
    return order;
}();

// A field as a type, so that its name and its terms are constants of the program wherever they are used.
template <Fielded Record, std::size_t Place>
class FieldAt {
    static constexpr auto kField = std::get<Place>(kFields<Record>);
    static constexpr bool kIsFirst = kTextOrder<Record>[0] == Place;
    static constexpr auto kKeyBytes = [] {
        constexpr std::string_view kBefore = kIsFirst ? R"({")" : R"(,")";
        constexpr std::string_view kAfter = R"(":)";
        std::array<char, kBefore.size() + kField.name.size() + kAfter.size()> key{};
        auto end = std::copy(kBefore.begin(), kBefore.end(), key.begin());
        end = std::copy(kField.name.begin(), kField.name.end(), end);
        std::copy(kAfter.begin(), kAfter.end(), end);
        return key;
    }();

  public:
    static constexpr std::string_view kName = kField.name;
    static constexpr FieldTerms kTerms = kField.terms;
    static constexpr std::string_view kColumn = kTerms.column.empty() ? kName : kTerms.column;
    // The bytes of the record's text before the value: `,"name":`, and a brace instead of the first comma.
    static constexpr std::string_view kKey{kKeyBytes.data(), kKeyBytes.size()};

    // `record` may be constant.
    template <class Of>
    static constexpr auto& of(Of& record) {
        return record.*kField.member;
    }
    using Value = std::remove_cvref_t<decltype(std::declval<Record&>().*kField.member)>;
    static constexpr bool kOptional = kIsOptional<Value>;
    static constexpr bool kRequired = kTerms.required && !kOptional;
};

// Calls visit(FieldAt<...>{}) for each field, in the order of the list.
template <Fielded Record, class Visit>
constexpr void for_each_field(Visit visit) {
    [&]<std::size_t... Places>(std::index_sequence<Places...>) {
        (visit(FieldAt<Record, Places>{}), ...);
    }
    (std::make_index_sequence<kFieldCount<Record>>{});
}

// Calls visit() in the order of the record's text, up to the first field for which visit() gives false.
// Returns whether there was no such field.
template <Fielded Record, class Visit>
[[gnu::always_inline]] inline bool all_in_text_order(Visit visit) {
    static_assert(FieldAt<Record, kTextOrder<Record>[0]>::kRequired, "the first key opens the text");
    return [&]<std::size_t... Places>(std::index_sequence<Places...>) {
        return (visit(FieldAt<Record, kTextOrder<Record>[Places]> {}) && ...);
    }
    (std::make_index_sequence<kFieldCount<Record>>{});
}

}  // namespace isoseam
