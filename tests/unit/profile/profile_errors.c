/* SPDX-License-Identifier: MIT */
/* What is wrong with a profile, in the words its user reads: where, what was found, what is
 * allowed. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "profiles.h"

struct row {
    const char *values, *more, *problem;
};

static void
each_is_told(const struct row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        assert_profile(rows[i].values, rows[i].more, rows[i].problem);
}

/* A sound entry, for profiles whose fault is elsewhere. */
#define SOUND "{\"at\": \"/m/{input}\", \"is\": \"input.mute\"}"

static void
keys_are_known_and_stand_once(void **state)
{
    static const struct row rows[] = {
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"lw\": \"fader\"}", "",
         "p: values[0].lw: unknown key, did you mean \"law\"?"},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"colour\": 1}", "",
         "p: values[0].colour: unknown key"},
        {SOUND, ", \"fixd\": {}", "p: fixd: unknown key, did you mean \"fixed\"?"},
        {SOUND, ", \"pace\": {\"in_fligth\": 3}",
         "p: pace.in_fligth: unknown key, did you mean \"in_flight\"?"},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.mute\", \"at\": \"/g/{input}\"}", "",
         "p: values[0].at: this key stands twice"},
        {SOUND, ", \"desk\": \"Other\"", "p: desk: this key stands twice"},
        /* JSON looks keys up by their letters as they are */
        {SOUND, ", \"Fixed\": {}", "p: Fixed: unknown key, did you mean \"fixed\"?"},
        {"{\"ask\": [\"/a\"], \"answer\": [\"/a/{input}\", {\"is\": \"input.mute\", \"lwa\": 1}]}",
         "", "p: values[0].answer[1].lwa: unknown key, did you mean \"law\"?"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* The nearest key of the kind of entry it nearly is. */
static void
misspelt_at_is_recognised(void **state)
{
    const char *const lines[] = {"p: values[0].att: unknown key, did you mean \"at\"?", NULL};
    struct loaded loaded;

    (void)state;
    loaded_read(&loaded, profile_with("{\"att\": \"/f/{input}\", \"is\": \"input.fader\"}", ""));
    assert_true(loaded.problems.count > 0);
    assert_string_equal(loaded.problems.lines[0], lines[0]);
    loaded_release(&loaded);
}

static void
members_have_their_kinds(void **state)
{
    static const struct row rows[] = {
        {"5", "", "p: values[0]: is a number, must be an object"},
        {"[]", "", "p: values[0]: is an array, must be an object"},
        {"", "", "p: values: is empty: nothing would be read"},
        {SOUND, ", \"fixed\": []", "p: fixed: is an array, must be an object"},
        {SOUND, ", \"renew\": {}", "p: renew: is an object, must be an array"},
        {SOUND, ", \"first\": 0", "p: first: is a number, must be an object"},
        {SOUND, ", \"pace\": \"fast\"", "p: pace: is a string, must be an object"},
        {"{\"at\": \"/f/{input}\", \"is\": 4}", "",
         "p: values[0].is: is a number, must be a string"},
        {"{\"at\": \"/f/{input}\"}", "", "p: values[0].is: is missing; it must be a string"},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.mute\", \"law\": 4}", "",
         "p: values[0].law: is a number, must be an object"},
        {"{\"ask\": \"/a\", \"answer\": [\"/a/{input}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].ask: must be an array: the address, then at most 63 arguments"},
        {"{\"ask\": [\"/a\"], \"answer\": []}", "",
         "p: values[0].answer: must be an array: the address, then at most 63 arguments"},
        {"{\"ask\": [\"/a\", null], \"answer\": [\"/a/{input}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].ask[1]: is null; allowed are a number, text, true, false, an {index}, "
         "\"*\""},
        {"{\"ask\": [\"/a\"], \"answer\": [\"/a/{input}\", []]}", "",
         "p: values[0].answer[1]: must hold two values of one argument, or more"},
        {"{\"ask\": [\"/a\"]}", "",
         "p: values[0].answer: is missing; an entry is either \"at\" with \"is\", or \"ask\" with "
         "\"answer\""},
        {"{\"ask\": [\"/a\"], \"answer\": [\"/a/{input}\", {\"is\": \"input.mute\"}],"
         " \"this_only_asks\": 1}",
         "", "p: values[0].this_only_asks: is a number, must be true or false"},
        {"{\"answer\": [3, {\"is\": \"desk.talkback\"}]}", "",
         "p: values[0].answer[0]: is a number, must be an address"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
range_is_two_rising_numbers(void **state)
{
    static const char *const ranges[] = {"[1]",
                                         "[2, 1]",
                                         "[1, 1]",
                                         "[1, 2, 3]",
                                         "[\"1\", 2]",
                                         "5",
                                         "{\"least\": 1, \"most\": 2}",
                                         "[0, 1e999]"};

    (void)state;
    for (size_t i = 0; i < COUNT(ranges); i++) {
        char entry[200];

        snprintf(entry, sizeof entry,
                 "{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"range\": %s}", ranges[i]);
        assert_profile(entry, "", "p: values[0].range: must be [least, most], two rising numbers");
    }
}

static void
parameters_and_laws_exist(void **state)
{
    static const struct row rows[] = {
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fadr\"}", "",
         "p: values[0].is: unknown parameter \"input.fadr\", did you mean \"input.fader\"?; "
         "`gainwarden explain parameters` lists them"},
        {"{\"at\": \"/f/{input}\", \"is\": \"nonsense-without-a-neighbour\"}", "",
         "p: values[0].is: unknown parameter \"nonsense-without-a-neighbour\"; `gainwarden explain "
         "parameters` lists them"},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"law\": \"fadre\"}", "",
         "p: values[0].law: no law \"fadre\" under \"laws\", did you mean \"fader\"?"},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"law\": \"loudness\"}", "",
         "p: values[0].law: no law \"loudness\" under \"laws\""},
        {"{\"at\": \"/t/{input}/{mix}\", \"is\": \"send.tap\"}", "",
         "p: values[0].law: is missing: send.tap takes words, so a \"words\" table must say what "
         "the "
         "desk sends for each"},
        {"{\"at\": \"/t/{input}/{mix}\", \"is\": \"send.tap\", \"law\": \"fader\"}", "",
         "p: values[0].law: send.tap takes words; its law must be a \"words\" table"},
        {"{\"at\": \"/n/{input}\", \"is\": \"input.name\", \"law\": \"switch\"}", "",
         "p: values[0].law: input.name is text and takes no law"},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\","
         " \"law\": {\"line\": [[0, -60], [1, 10], [2, 0]]}}",
         "",
         "p: values[0].law.line[2]: the law turns back at 0; values must rise or fall throughout"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
addresses_and_indexes_are_sound(void **state)
{
    static const struct row rows[] = {
        {"{\"answer\": [\",{input}/mute\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: an address begins with '/' or a name, found \",{input}/mute\""},
        {"{\"answer\": [\"/\", {\"is\": \"desk.talkback\"}]}", "",
         "p: values[0].answer[0]: an address begins with '/' or a name, found \"/\""},
        {"{\"answer\": [\"/a b/{input}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: the character ' ' may not stand in this address"},
        {"{\"answer\": [\"/a*/{input}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: the character '*' may not stand in this address"},
        {"{\"answer\": [\"/a#/{input}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: the character '#' may not stand in this address"},
        {"{\"answer\": [\"/a/{input\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: the character '{' may not stand in this address"},
        {"{\"answer\": [\"/a/{inptu}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: unknown index {inptu}, did you mean \"input\"?"},
        {"{\"answer\": [\"/a/{input}\", \"{chanel}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[1]: unknown index {chanel}"},
        {"{\"answer\": [\"/a/{input}/{band}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0].answer[0]: {band} stands for nothing here: no value of this entry has "
         "bands"},
        {"{\"answer\": [\"/a/{mix}\", {\"is\": \"input.mute\"}]}", "",
         "p: values[0]: input.mute needs {input} in the address or among the arguments"},
        {"{\"answer\": [\"/a/{mix}\", {\"is\": \"send.level\"}]}", "",
         "p: values[0]: send.level needs {input} and {mix} in the address or among the arguments"},
        {"{\"answer\": [\"/a/{input}\", 1, \"*\"]}", "",
         "p: values[0]: gives no value: no argument of the answer says what it \"is\""},
        {"{\"answer\": [\"/a/{mix}\", {\"is\": \"mix.graphic.band.gain\", \"each\": \"band\"},"
         " {\"is\": \"mix.fader\"}]}",
         "", "p: values[0]: a run (\"each\") must be the last argument"},
        {"{\"answer\": [\"/a/{mix}\", {\"is\": \"mix.fader\", \"each\": \"band\"}]}", "",
         "p: values[0].answer[1].each: mix.fader has no index \"band\" to run along"},
        {"{\"answer\": [\"/a/{mix}\", {\"is\": \"mix.fader\", \"each\": \"input\"}]}", "",
         "p: values[0].answer[1].each: mix.fader has no index \"input\" to run along"},
        {"{\"answer\": [\"/a/{mix}/{band}\", {\"is\": \"mix.eq.band.gain\"},"
         " {\"is\": \"mix.graphic.band.gain\"}]}",
         "", "p: values[0]: one entry cannot hold both mix.eq.band and mix.graphic.band"},
        {"{\"answer\": [\"/{input}/{mix}/{group}/{band}\", {\"is\": \"input.eq.band.q\"}]}", "",
         "p: values[0].answer[0]: more than 3 indexes in one entry"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* "at" is one address though it stands for a question and an answer: what is wrong with it is one
 * problem. */
static void
wrong_at_is_told_once(void **state)
{
    static const struct row rows[] = {
        {"{\"at\": 4, \"is\": \"input.mute\"}", "",
         "p: values[0].at: is a number, must be an address"},
        {"{\"at\": \"/m/{inptu}\", \"is\": \"input.mute\"}", "",
         "p: values[0].at: unknown index {inptu}, did you mean \"input\"?"},
        {"{\"at\": \"/m*/{input}\", \"is\": \"input.mute\"}", "",
         "p: values[0].at: the character '*' may not stand in this address"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* An index that the question names and the answer does not bring back: nobody could tell whose
 * answer it is. */
static void
answer_must_bring_back_what_was_asked(void **state)
{
    static const char *const entries[] = {
        "{\"ask\": [\"/get/{input}\"], \"answer\": [\"/value\", {\"is\": \"input.mute\"}]}",
        "{\"ask\": [\"/get\", \"{input}\"], \"answer\": [\"/value\", {\"is\": \"input.mute\"}]}",
        "{\"ask\": [\"/get/{mix}\"], \"answer\": [\"/value/{input}\", {\"is\": \"input.mute\"}]}",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(entries); i++) {
        struct loaded loaded;

        loaded_read(&loaded, profile_with(entries[i], ""));
        if (loaded.problems.count == 0)
            print_error("not refused: %s\n", entries[i]);
        assert_true(loaded.problems.count > 0);
        loaded_release(&loaded);
    }
}

#define EVERY "p: renew[0].every_s: must be a number from 0.5 to 3600"

static void
numbers_keep_to_their_limits(void **state)
{
    static const struct row rows[] = {
        {SOUND, ", \"pace\": {\"in_flight\": 0}",
         "p: pace.in_flight: must be a whole number from 1 to 4096"},
        {SOUND, ", \"pace\": {\"in_flight\": 1.5}",
         "p: pace.in_flight: must be a whole number from 1 to 4096"},
        {SOUND, ", \"pace\": {\"per_second\": 0}",
         "p: pace.per_second: must be a number above 0, at most 1e+06"},
        {SOUND, ", \"pace\": {\"answer_within_ms\": \"fast\"}",
         "p: pace.answer_within_ms: must be a whole number from 1 to 10000"},
        {SOUND, ", \"pace\": {\"reread_every_s\": 60, \"stale_after_s\": 60}",
         "p: pace: stale_after_s must be longer than reread_every_s (60 s), or every value would "
         "go "
         "stale between two readings"},
        {SOUND, ", \"first\": {\"input\": 2}",
         "p: first.input: must be a whole number from 0 to 1"},
        {SOUND, ", \"first\": {\"inputs\": 1}",
         "p: first.inputs: unknown index, did you mean \"input\"?"},
        {"{\"at\": \"/m/{input}\", \"is\": \"input.mute\", \"first\": -1}", "",
         "p: values[0].first: must be a whole number from 0 to 1"},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 0}]", EVERY},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 1e-9}]", EVERY},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 0.001}]", EVERY},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 0.499}]", EVERY},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": -8}]", EVERY},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 3601}]", EVERY},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"], \"every_s\": 0.5}]", NULL},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay\"]}]",
         "p: renew[0].every_s: is missing; it must be a number"},
        {SOUND, ", \"renew\": [{\"send\": [\"/stay/{input}\"], \"every_s\": 8}]",
         "p: renew[0].send: a renewal may not hold an index"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
fixed_values_are_values(void **state)
{
    static const struct row rows[] = {
        {SOUND, ", \"fixed\": {\"mix.fadr\": 0}",
         "p: fixed.mix.fadr: unknown parameter, did you mean \"mix.fader\"?"},
        {SOUND, ", \"fixed\": {\"input.mute\": false}",
         "p: fixed.input.mute: is also read from the desk; it cannot be fixed besides"},
        {SOUND, ", \"fixed\": {\"send.tap\": \"sideways\"}",
         "p: fixed.send.tap: is no value of send.tap, which is word"},
        {SOUND, ", \"fixed\": {\"mix.fader\": 31}",
         "p: fixed.mix.fader: is no value of mix.fader, which is dB"},
        {SOUND, ", \"fixed\": {\"mix.fader\": true}",
         "p: fixed.mix.fader: is no value of mix.fader, which is dB"},
        {SOUND, ", \"fixed\": {\"mix.fader\": null}",
         "p: fixed.mix.fader: is no value of mix.fader, which is dB"},
        {SOUND, ", \"fixed\": {\"input.preamp_gain\": \"-inf\"}",
         "p: fixed.input.preamp_gain: is no value of input.preamp_gain, which is dB"},
        {SOUND, ", \"fixed\": {\"input.name\": \"Kick\"}",
         "p: fixed.input.name: is no value of input.name, which is text"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* A word in place of a number is no number, and half a word is no word. */
static void
fixed_words_are_not_numbers(void **state)
{
    static const struct row rows[] = {
        {SOUND, ", \"fixed\": {\"mix.fader\": \"unity\"}",
         "p: fixed.mix.fader: is no value of mix.fader, which is dB"},
        {SOUND, ", \"fixed\": {\"input.preamp_gain\": \"12\"}",
         "p: fixed.input.preamp_gain: is no value of input.preamp_gain, which is dB"},
        {SOUND, ", \"fixed\": {\"send.tap\": 1.5}",
         "p: fixed.send.tap: is no value of send.tap, which is word"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* ---- whole profiles ---- */

static void
whole_profile_is_told(const char *text, const char *const *lines)
{
    struct loaded loaded;

    loaded_read(&loaded, text);
    assert_problems(&loaded.problems, lines);
    loaded_release(&loaded);
}

static void
members_that_must_be_there(void **state)
{
    static const char *const nothing[] = {"p: profile_format: is missing; it must be a number",
                                          "p: desk: is missing; it must be a string",
                                          "p: link: is missing; it must be an object",
                                          "p: counts: is missing; it must be an object",
                                          "p: values: is missing; it must be an array",
                                          NULL};
    static const char *const array[] = {"p: is an array, must be an object", NULL};

    (void)state;
    whole_profile_is_told("{}", nothing);
    whole_profile_is_told("[]", array);
}

static void
counts_are_whole_and_not_missing(void **state)
{
    static const struct {
        const char *counts, *problem;
    } rows[] = {
        {"{\"mix\": 2}", "p: counts.input: is missing or 0; a desk has at least one"},
        {"{\"input\": 0, \"mix\": 2}", "p: counts.input: is missing or 0; a desk has at least one"},
        {"{\"input\": 2}", "p: counts.mix: is missing or 0; a desk has at least one"},
        {"{\"input\": 2, \"mix\": 513}", "p: counts.mix: must be a whole number from 0 to 512"},
        {"{\"input\": 2.5, \"mix\": 2}", "p: counts.input: must be a whole number from 0 to 512"},
        {"{\"input\": 2, \"mix\": 2, \"mixx\": 2}",
         "p: counts.mixx: unknown index, did you mean \"mix\"?"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *const lines[] = {rows[i].problem, NULL};
        char text[500];

        snprintf(text, sizeof text,
                 "{\"profile_format\": 1, \"desk\": \"d\", \"link\": {\"transport\": \"udp\", "
                 "\"port\": 9}, \"counts\": %s, \"values\": [{\"at\": \"/t\", \"is\": "
                 "\"desk.talkback\"}]}",
                 rows[i].counts);
        whole_profile_is_told(text, lines);
    }
}

/* An index or a run along something the desk has none of. */
static void
used_indexes_are_counted(void **state)
{
    static const struct {
        const char *values, *problem;
    } rows[] = {
        {"{\"at\": \"/g/{group}\", \"is\": \"group.mute\"}",
         "p: values[0].at: {group} is used, but counts.group is missing"},
        {"{\"answer\": [\"/q/{mix}\", {\"is\": \"mix.eq.band.q\", \"each\": \"band\"}]}",
         "p: values[0].answer[1].each: {band} is used, but counts.mix.eq.band is missing"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct loaded loaded;
        char text[500];

        snprintf(text, sizeof text,
                 "{\"profile_format\": 1, \"desk\": \"d\", \"link\": {\"transport\": \"udp\", "
                 "\"port\": 9}, \"counts\": {\"input\": 2, \"mix\": 2}, \"values\": [%s]}",
                 rows[i].values);
        loaded_read(&loaded, text);
        if (loaded.problems.count == 0)
            print_error("not refused: %s\n", rows[i].values);
        assert_true(loaded.problems.count > 0);
        assert_string_equal(loaded.problems.lines[0], rows[i].problem);
        loaded_release(&loaded);
    }
}

static void
link_and_format_are_this_versions(void **state)
{
    static const char *const lines[] = {
        "p: profile_format: is 2; this version reads format 1",
        "p: link.transport: is \"carrier-pigeon\"; allowed are \"udp\" and \"tcp\"",
        "p: link.port: must be a whole number from 1 to 65535", NULL};

    (void)state;
    whole_profile_is_told(
        "{\"profile_format\": 2, \"desk\": \"d\", \"link\": {\"transport\": \"carrier-pigeon\", "
        "\"port\": 70000}, \"counts\": {\"input\": 2, \"mix\": 2}, \"values\": [{\"at\": \"/t\", "
        "\"is\": \"desk.talkback\"}]}",
        lines);
}

/* One run tells all of it, in the order of the file's parts. */
static void
all_problems_are_listed(void **state)
{
    static const char *const lines[] = {
        "p: desk: is a number, must be a string",
        "p: link.prt: unknown key, did you mean \"port\"?",
        "p: link.port: is missing; it must be a number",
        "p: laws.head.line[1]: the wire value 0 does not rise above 0",
        "p: values[0].law: no law \"tail\" under \"laws\"",
        "p: values[1].is: unknown parameter \"input.mut\", did you mean \"input.mute\"?; "
        "`gainwarden "
        "explain parameters` lists them",
        "p: fixed.send.tap: is no value of send.tap, which is word",
        NULL};

    (void)state;
    whole_profile_is_told(
        "{\"profile_format\": 1, \"desk\": 7, \"link\": {\"transport\": \"udp\", \"prt\": 9},"
        " \"counts\": {\"input\": 2, \"mix\": 2}, \"laws\": {\"head\": {\"line\": [[0, 1], [0, "
        "2]]}},"
        " \"values\": [{\"at\": \"/g/{input}\", \"is\": \"input.preamp_gain\", \"law\": \"tail\"},"
        " {\"at\": \"/m/{input}\", \"is\": \"input.mut\"}], \"fixed\": {\"send.tap\": 9}}",
        lines);
}

/* A spectrum comes by itself, in whole frames, of bands that somebody can place. */
static void
spectra_are_frames(void **state)
{
    static const char good[] =
        "{\"answer\": [\"/s/{mix}\", {\"blob\": \"int16be\", \"each\": \"band\","
        " \"is\": \"mix.spectrum.band.level\"}]}";
    static const struct {
        int bands;
        const char *values, *more, *problem;
    } rows[] = {
        {31, good, "", NULL},
        {30, good, "", NULL},
        {100, good, ", \"spectrum\": {\"lowest_hz\": 20.3, \"highest_hz\": 18950}", NULL},
        {100, good, "",
         "p: spectrum: must give lowest_hz and highest_hz: nobody knows where 100 bands stand, 31 "
         "would be thirds of an octave from 20 Hz"},
        {100, good, ", \"spectrum\": {\"lowest_hz\": 20.3}",
         "p: spectrum: gives lowest_hz or highest_hz alone; both say where the bands are"},
        {10, good, ", \"spectrum\": {\"lowest_hz\": 31.5, \"highest_hz\": 16000}",
         "p: spectrum: has bands wider than a third of an octave, which tell no ring"},
        {31, good, ", \"fixed\": {\"mix.spectrum.band.level\": -10}",
         "p: fixed.mix.spectrum.band.level: is another in a moment; it cannot be fixed"},
        {31, "{\"at\": \"/s/{mix}\", \"is\": \"mix.spectrum.band.level\", \"each\": \"band\"}", "",
         "p: values[0]: mix.spectrum.band.level comes by itself, many times a second, and is never "
         "asked: give its \"answer\" without \"ask\", and what makes the desk send it under "
         "\"renew\""},
        {31, "{\"answer\": [\"/s/{mix}/{band}\", {\"is\": \"mix.spectrum.band.level\"}]}", "",
         "p: values[0]: mix.spectrum.band.level comes as whole frames: it needs \"each\": "
         "\"band\""},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[8192], counts[64];
        const char *sound = profile_with(rows[i].values, rows[i].more);
        const char *at = strstr(sound, "\"input\": 24");
        const char *const lines[] = {rows[i].problem, NULL};
        struct loaded loaded;

        snprintf(counts, sizeof counts, "\"mix.spectrum.band\": %d, ", rows[i].bands);
        snprintf(text, sizeof text, "%.*s%s%s", (int)(at - sound), sound, counts, at);
        loaded_read(&loaded, text);
        assert_problems(&loaded.problems, lines);
        loaded_release(&loaded);
    }
}

/* Past the fiftieth they are counted. */
static void
endless_problems_are_counted(void **state)
{
    struct loaded loaded;
    char values[4096] = "7";

    (void)state;
    for (int i = 1; i < 200; i++)
        strcat(values, ",7");
    loaded_read(&loaded, profile_with(values, ""));
    assert_int_equal(loaded.problems.count, 200);
    assert_string_equal(loaded.problems.lines[PROBLEMS_KEPT - 1],
                        "p: values[49]: is a number, must be an object");
    loaded_release(&loaded);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_are_known_and_stand_once),
        cmocka_unit_test(misspelt_at_is_recognised),
        cmocka_unit_test(members_have_their_kinds),
        cmocka_unit_test(range_is_two_rising_numbers),
        cmocka_unit_test(parameters_and_laws_exist),
        cmocka_unit_test(addresses_and_indexes_are_sound),
        cmocka_unit_test(wrong_at_is_told_once),
        cmocka_unit_test(answer_must_bring_back_what_was_asked),
        cmocka_unit_test(numbers_keep_to_their_limits),
        cmocka_unit_test(fixed_values_are_values),
        cmocka_unit_test(fixed_words_are_not_numbers),
        cmocka_unit_test(members_that_must_be_there),
        cmocka_unit_test(counts_are_whole_and_not_missing),
        cmocka_unit_test(used_indexes_are_counted),
        cmocka_unit_test(link_and_format_are_this_versions),
        cmocka_unit_test(all_problems_are_listed),
        cmocka_unit_test(spectra_are_frames),
        cmocka_unit_test(endless_problems_are_counted),
    };

    return cmocka_run_group_tests_name("profile_errors", tests, NULL, NULL);
}
