#include "app/amend_book.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "app/bite_json.h"
#include "app/bite_list.h"
#include "app/file_io.h"
#include "core/base/text_fields.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

std::string BiteWords(std::int64_t bite) {
  return "bite " + std::to_string(bite);
}

Error NoBite(std::int64_t bite) {
  return {ErrorKind::kBadInput, BiteWords(bite),
          "is not in this logbook; masseter bites lists those that are"};
}

Expected<Bite> BiteOf(const Logbook& logbook, std::int64_t id) {
  auto stored = FindStoredBite(logbook, id);
  if (!stored) return tl::unexpected(stored.error());
  if (!*stored) return tl::unexpected(NoBite(id));
  return std::move((*stored)->bite);
}

Expected<bool> IsStruckOut(const Logbook& logbook, std::int64_t bite,
                           double now_unix_s) {
  const auto words = ReadDayWords(logbook, now_unix_s);
  if (!words) return tl::unexpected(words.error());
  return words->withdrawn.contains(bite);
}

Expected<std::int64_t> Add(Logbook& logbook, const char* kind,
                           const Moment& moment, const ordered_json& document) {
  return logbook.AddDayEntry(
      {0, kind, moment.unix_s, moment.capture, moment.t_s,
       document.dump(-1, ' ', false, ordered_json::error_handler_t::replace)});
}

std::size_t Characters(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(),
      [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

}  // namespace

Expected<std::int64_t> StrikeOut(Logbook& logbook, std::int64_t bite,
                                 const std::string& reason,
                                 const Moment& moment) {
  const std::string why(Trim(reason));
  if (Characters(why) < 3 || Characters(why) > 200) {
    return BadInput("", "say in 3 to 200 letters why the bite is struck out");
  }
  const auto known = BiteOf(logbook, bite);
  if (!known) return tl::unexpected(known.error());
  const auto already = IsStruckOut(logbook, bite, moment.unix_s);
  if (!already) return tl::unexpected(already.error());
  if (*already) {
    return BadInput(BiteWords(bite), "is struck out already");
  }
  return Add(logbook, "void", moment, {{"bite", bite}, {"reason", why}});
}

Expected<std::int64_t> GiveBack(Logbook& logbook, std::int64_t bite,
                                const Moment& moment) {
  const auto known = BiteOf(logbook, bite);
  if (!known) return tl::unexpected(known.error());
  const auto struck = IsStruckOut(logbook, bite, moment.unix_s);
  if (!struck) return tl::unexpected(struck.error());
  if (!*struck) {
    return BadInput(BiteWords(bite), "is not struck out");
  }
  return Add(logbook, "restore", moment, {{"bite", bite}});
}

Expected<std::int64_t> AddNote(Logbook& logbook,
                               std::optional<std::int64_t> bite,
                               const std::string& dog, const std::string& text,
                               const Moment& moment) {
  const std::string words(Trim(text));
  if (words.empty()) return BadInput("", "the note is empty");
  if (Characters(words) > 300) {
    return BadInput("", "a note has up to 300 letters");
  }
  std::string whose = dog;
  if (bite) {
    const auto known = BiteOf(logbook, *bite);
    if (!known) return tl::unexpected(known.error());
    whose = known->dog;
  }
  return Add(logbook, "note", moment,
             {{"dog", whose},
              {"bite", bite ? ordered_json(*bite) : ordered_json(nullptr)},
              {"text", words}});
}

Expected<std::int64_t> TakeBack(Logbook& logbook, std::int64_t entry,
                                const Moment& moment) {
  return Add(logbook, "undo", moment, {{"entry", entry}});
}

Expected<AmendAnswer> Amend(const AmendRequest& request) {
  const int asked = (request.strike_out ? 1 : 0) + (request.give_back ? 1 : 0) +
                    (request.note ? 1 : 0);
  if (asked != 1) {
    return BadInput("", "say one of --void REASON, --restore, --note TEXT");
  }
  if (const auto all = ListBites(request.book_path); !all) {
    return tl::unexpected(all.error());
  }
  auto logbook = Logbook::Open(request.book_path, Access::kWrite);
  if (!logbook) return tl::unexpected(logbook.error());
  const Moment now{NowUnixS(), 0, std::nullopt};
  const auto entry =
      request.strike_out
          ? StrikeOut(*logbook, request.bite, *request.strike_out, now)
      : request.give_back
          ? GiveBack(*logbook, request.bite, now)
          : AddNote(*logbook, request.bite, "", *request.note, now);
  if (!entry) return tl::unexpected(entry.error());
  AmendAnswer out;
  out.entry = *entry;
  auto bite = BiteOf(*logbook, request.bite);
  if (!bite) return tl::unexpected(bite.error());
  out.bite = std::move(*bite);
  const auto words = ReadDayWords(*logbook, now.unix_s);
  if (!words) return tl::unexpected(words.error());
  LayOver(*words, out.bite);
  return out;
}

}  // namespace masseter
