// SPDX-License-Identifier: GPL-3.0-or-later
#include "exporters/print/expression.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "engine/quantity/error.hpp"

namespace peepwright::print {
namespace {

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || c == '_'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

class Reader {
 public:
  Reader(std::string_view text, const Names& names) : text_(text), names_(names) {}

  double whole() {
    const double value = sum();
    skip();
    if (at_ != text_.size()) fail("\"" + std::string(text_.substr(at_)) + "\" is not understood");
    if (!std::isfinite(value)) fail("the result is not a finite number");
    return value;
  }

 private:
  double sum() {
    double value = product();
    for (;;) {
      if (take('+')) value += product();
      else if (take('-')) value -= product();
      else return value;
    }
  }

  double product() {
    double value = factor();
    for (;;) {
      if (take('*')) value *= factor();
      else if (take('/')) value /= factor();
      else return value;
    }
  }

  double factor() {
    if (++depth_ > 50) fail("it is nested too deeply");
    double value = 0;
    if (take('-')) {
      value = -factor();
    } else if (take('(')) {
      value = sum();
      need(')');
    } else if (at_ < text_.size() && (is_digit(text_[at_]) || text_[at_] == '.')) {
      value = number();
    } else if (at_ < text_.size() && is_letter(text_[at_])) {
      value = name_or_call();
    } else {
      fail("a number or a name is missing");
    }
    --depth_;
    return value;
  }

  double number() {
    double value = 0;
    const auto [end, error] = std::from_chars(text_.data() + at_, text_.data() + text_.size(), value);
    if (error != std::errc()) fail("a number is not understood");
    at_ = static_cast<std::size_t>(end - text_.data());
    return value;
  }

  double name_or_call() {
    const std::size_t from = at_;
    while (at_ < text_.size() && (is_letter(text_[at_]) || is_digit(text_[at_]))) ++at_;
    const std::string_view name = text_.substr(from, at_ - from);
    if ((name == "min" || name == "max") && take('(')) {
      const double a = sum();
      need(',');
      const double b = sum();
      need(')');
      return name == "min" ? std::min(a, b) : std::max(a, b);
    }
    const auto found = names_.find(name);
    if (found == names_.end()) fail("nothing is called \"" + std::string(name) + "\"");
    return found->second;
  }

  void skip() {
    while (at_ < text_.size() && text_[at_] == ' ') ++at_;
  }

  bool take(char c) {
    skip();
    if (at_ >= text_.size() || text_[at_] != c) return false;
    ++at_;
    skip();
    return true;
  }

  void need(char c) {
    if (!take(c)) fail(std::string("\"") + c + "\" is missing");
  }

  [[noreturn]] void fail(const std::string& why) const {
    throw Error(ErrorCode::input, "The layout's position \"" + std::string(text_) + "\" is wrong: " + why + ".");
  }

  std::string_view text_;
  const Names& names_;
  std::size_t at_ = 0;
  int depth_ = 0;
};

}  // namespace

double evaluate(std::string_view expression, const Names& names) { return Reader(expression, names).whole(); }

}  // namespace peepwright::print
