// SPDX-License-Identifier: GPL-3.0-or-later
// A small reader of STEP's clear text encoding (ISO 10303-21), independent of the kernel: syntax, instances,
// references.
#pragma once

#include <cctype>
#include <map>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace peepwright::test {

/// One record: its type ("" for a complex instance), its text parameters in order, the instances it refers to.
struct Part21Record {
  std::string type;
  std::vector<std::string> strings;
  std::vector<double> reals;
  std::vector<long> references;
  std::vector<std::string> complex_types;
};

struct Part21File {
  std::vector<Part21Record> header;
  std::map<long, Part21Record> data;

  [[nodiscard]] std::vector<const Part21Record*> of(std::string_view type) const {
    std::vector<const Part21Record*> found;
    for (const auto& [id, record] : data)
      if (record.type == type) found.push_back(&record);
    return found;
  }
};

/// Throws std::runtime_error with the offset of the first thing that is not Part 21.
class Part21Reader {
 public:
  explicit Part21Reader(std::string_view text) : text_(text) {}

  Part21File read() {
    Part21File file;
    word("ISO-10303-21"), sign(';');
    word("HEADER"), sign(';');
    while (!at("ENDSEC")) {
      Part21Record record;
      record.type = keyword();
      parameters(record), sign(';');
      file.header.push_back(std::move(record));
    }
    word("ENDSEC"), sign(';');
    word("DATA"), sign(';');
    while (!at("ENDSEC")) {
      sign('#');
      const long id = whole();
      sign('=');
      Part21Record record;
      if (peek() == '(') {  // complex instance: (A(...)B(...))
        sign('(');
        while (peek() != ')') {
          record.complex_types.push_back(keyword());
          parameters(record);
        }
        sign(')');
      } else {
        record.type = keyword();
        parameters(record);
      }
      sign(';');
      if (!file.data.emplace(id, std::move(record)).second) fail("an instance name is used twice");
    }
    word("ENDSEC"), sign(';');
    word("END-ISO-10303-21"), sign(';');
    blanks();
    if (place_ != text_.size()) fail("text after the end");
    for (const auto& [id, record] : file.data)
      for (const long to : record.references)
        if (!file.data.contains(to))
          throw std::runtime_error("#" + std::to_string(id) + " refers to #" + std::to_string(to) +
                                   ", which is not there");
    return file;
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw std::runtime_error(what + " at byte " + std::to_string(place_));
  }

  void blanks() {
    for (;;) {
      while (place_ < text_.size() && std::isspace(static_cast<unsigned char>(text_[place_]))) ++place_;
      if (text_.substr(place_, 2) != "/*") return;
      place_ = text_.find("*/", place_);
      if (place_ == std::string_view::npos) place_ = text_.size(), fail("a comment without an end");
      place_ += 2;
    }
  }
  char peek() {
    blanks();
    if (place_ >= text_.size()) fail("the end came too soon");
    return text_[place_];
  }
  bool at(std::string_view w) { return blanks(), text_.substr(place_, w.size()) == w; }
  void word(std::string_view w) {
    if (!at(w)) fail("no " + std::string(w));
    place_ += w.size();
  }
  void sign(char c) {
    if (peek() != c) fail(std::string("no ") + c);
    ++place_;
  }
  std::string keyword() {
    blanks();
    std::string k;
    while (place_ < text_.size() && (std::isupper(static_cast<unsigned char>(text_[place_])) ||
                                     std::isdigit(static_cast<unsigned char>(text_[place_])) || text_[place_] == '_'))
      k += text_[place_++];
    if (k.empty() || std::isdigit(static_cast<unsigned char>(k[0]))) fail("no keyword");
    return k;
  }
  long whole() {
    blanks();
    std::size_t digits = 0;
    const long v = std::stol(std::string(text_.substr(place_, 18)), &digits);
    place_ += digits;
    return v;
  }
  void parameters(Part21Record& record) {
    sign('(');
    if (peek() == ')') return sign(')');
    for (;;) {
      value(record);
      if (peek() == ',') sign(',');
      else break;
    }
    sign(')');
  }
  void value(Part21Record& record) {
    const char c = peek();
    if (c == '(') return parameters(record);
    if (c == '$' || c == '*') return sign(c);
    if (c == '#') {
      sign('#');
      record.references.push_back(whole());
    } else if (c == '\'') {
      std::string s;
      for (++place_;; ++place_) {
        if (place_ >= text_.size()) fail("a string without an end");
        const auto b = static_cast<unsigned char>(text_[place_]);
        if (b < 0x20 || b > 0x7e) {
          if (b != '\n' && b != '\r') fail("a byte that the basic alphabet does not have");
          continue;
        }
        if (b == '\'') {
          if (text_.substr(place_, 2) != "''") break;
          ++place_;
        }
        s += char(b);
      }
      ++place_;
      record.strings.push_back(std::move(s));
    } else if (c == '.') {
      sign('.');
      keyword();
      if (text_[place_] != '.') fail("an enumeration without its second point");
      ++place_;
    } else if (std::isupper(static_cast<unsigned char>(c))) {
      keyword();
      parameters(record);
    } else if (std::isdigit(static_cast<unsigned char>(c)) || c == '-' || c == '+') {
      std::string number;
      while (place_ < text_.size() && (std::isdigit(static_cast<unsigned char>(text_[place_])) ||
                                       std::string_view("+-.E").find(text_[place_]) != std::string_view::npos))
        number += text_[place_++];
      if (number.find('.') != std::string::npos) {
        std::size_t used = 0;
        record.reals.push_back(std::stod(number, &used));
        if (used != number.size()) fail("a number that is not one");
      }
    } else {
      fail("no parameter");
    }
  }

  std::string_view text_;
  std::size_t place_ = 0;
};

}  // namespace peepwright::test
