/* SPDX-License-Identifier: MIT */
/* The promise that nothing is sent which could move something: what a question may look like. */
#include "unit.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "osc_patterns.h"
#include "profile/read_only.h"
#include "profiles.h"

/* Whether a question to `ask` could reach what answers from `answer`. */
static bool
may_meet(const char *ask, const char *answer)
{
    const struct entry *entry;
    struct loaded loaded;
    char text[700];
    bool meet;

    snprintf(text, sizeof text,
             "{\"ask\": [\"%s\"], \"answer\": [\"%s\", \"{input}\", \"{mix}\", {\"is\": "
             "\"send.level\"}], \"this_only_asks\": true}",
             ask, answer);
    loaded_sound(&loaded, profile_with(text, ""));
    entry = &loaded.profile->entries[0];
    meet = read_only_may_meet(&entry->ask, &entry->answer, entry);
    assert_int_equal(read_only_may_meet(&entry->answer, &entry->ask, entry), meet);
    loaded_release(&loaded);
    return meet;
}

static void
meets(const char *ask, const char *answer, bool expected)
{
    bool meet = may_meet(ask, answer);

    if (meet != expected)
        print_error("%s %s %s\n", ask, meet ? "meets" : "does not meet", answer);
    assert_int_equal(meet, expected);
}

static void
addresses_that_may_be_the_same(void **state)
{
    static const char *const pairs[][2] = {
        {"/in/gain", "/in/gain"},
        {"/in/{input}/gain", "/in/{input}/gain"},
        {"/in/3/gain", "/in/{input}/gain"}, /* a number written out */
        {"/in/03/gain", "/in/{input:2}/gain"},
        {"/in/{input}/gain", "/in/3/gain"},
        {"/in/{input}{mix}", "/in/{input}"}, /* 1 and 2 beside each other are 12 */
        {"/in/{input}0", "/in/{input}"},
        {"/in/{input}", "/in/1{mix}"},
        {"/IN/Gain", "/in/gain"}, /* some desks do not mind letter case */
        {"/in/GAIN", "/IN/gain"},
        {"/in/*/gain", "/in/{input}/gain"},
        {"/in/?1/gain", "/in/{input:2}/gain"},
        {"/*/gain", "/in/{input}/gain"}, /* cautious: past a slash too */
        {"/in/[1-9]/gain", "/in/{input}/gain"},
        {"/in/[!1]/gain", "/in/{input}/gain"},
        {"/in/{1,2}/gain", "/in/{input}/gain"},
        {"/{in,out}/1/gain", "/in/{input}/gain"},
        {"//gain", "/in/{input}/gain"}, /* OSC 1.1: at any depth */
        {"/in//gain", "/in/x/y/gain"},
        {"/*", "/in/{input}/gain"},
        {"/in/1/gain*", "/in/1/gain"},
        /* disguises of one address */
        {"/in/1/gain/", "/in/1/gain"},
        {"/in/1/gain", "/in/{input}/gain/"},
        {"//in/1/gain", "/in/{input}/gain"},
        {"/in///1//gain//", "/in/{input}/gain"},
        {"in/1/gain", "/in/{input}/gain"},
        {"/./in/./1/gain/.", "/in/{input}/gain"},
        {"/x/../in/1/gain", "/in/{input}/gain"},
        {"/x/.../gain", "/in/{input}/gain"},
        {"/in/+5/gain", "/in/{input}/gain"},
        {"/in/-5/gain", "/in/{input}/gain"},
        {"/in/+{input}/gain", "/in/{input}/gain"},
        {"/in/-+5/gain", "/in/5/gain"},
        {"/in/ch-5/gain", "/in/ch{input}/gain"},
        {"/in/5/gain", "/in/+5/gain"},
        {"/in/0005/gain", "/in/5/gain"},
        {"/in/5/gain", "/in/05/gain"},
        {"/in/0{input}/gain", "/in/5/gain"},
        {"/in/5./gain", "/in/{input}/gain"},
        {"/in/5.0/gain", "/in/5/gain"},
        {"/in/{input}.0/gain", "/in/{input}/gain"},
        {"/in/%35/gain", "/in/{input}/gain"},
        {"/in/1/gai%6E", "/in/{input}/gain"},
        {"/a%2Fb", "/in/{input}/gain"},
        {"\\\\in\\\\1\\\\gain", "/in/{input}/gain"},
        {"/in/1/gain\\\\", "/in/{input}/gain"},
        {"/in/1/gain,f", "/in/{input}/gain"}, /* looks like type tags */
        {"/IN/0{input}//Gain/", "/in/{input:2}/gain"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(pairs); i++)
        meets(pairs[i][0], pairs[i][1], true);
}

static void
addresses_that_differ(void **state)
{
    static const char *const pairs[][2] = {
        {"/get/gain", "/in/gain"},
        {"/get/in/{input}/gain", "/in/{input}/gain"},
        {"/in/{input}/gain/get", "/in/{input}/gain"},
        {"/in/{input}", "/in/{input}/gain"},
        {"/in/x/gain", "/in/{input}/gain"}, /* an index is a number */
        {"/in//gain", "/in/gain2"},
        {"/ask/*", "/in/{input}/gain"},
        {"/in/*/trim", "/in/{input}/gain"},
        {"/in/{1,2}/trim", "/in/{input}/gain"},
        {"/in/a{input}", "/in/{input}"},
        {"/stay", "/in/{input}/gain"},
        {"/in/5/gain", "/in/50/gain"},
        {"/in/500/gain", "/in/5/gain"},
        {"/mix-eq", "/mix/{mix}"},
        {"/get/v1.5", "/in/{input}"},
        {"/in/.x", "/in/x"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(pairs); i++)
        meets(pairs[i][0], pairs[i][1], false);
}

/* An index inside brackets or braces, and brackets that servers read in more than one way: what
 * goes out is a pattern all the same. */
static void
indexes_inside_patterns_are_patterns(void **state)
{
    static const char *const pairs[][2] = {
        {"/in/[{input}]/gain", "/in/{input}/gain"}, {"/in/[{input}-9]/gain", "/in/{input}/gain"},
        {"/in/{gain,{input}}", "/in/gain"},         {"/in/[!{input}]", "/in/x"},
        {"/in/[]1]/gain", "/in/{input}/gain"},      {"/in/[]x1]/gain", "/in/{input}/gain"},
        {"/in/{x,{1,2}}/gain", "/in/{input}/gain"}, {"/in/{x,{input}}/gain", "/in/{input}/gain"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(pairs); i++)
        meets(pairs[i][0], pairs[i][1], true);
}

/* Whatever an OSC server would match must meet; the other way round it may be cautious. */
static void
what_osc_matches_meets(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_patterns); i++)
        if (reference_patterns[i].match)
            meets(reference_patterns[i].pattern, reference_patterns[i].address, true);
}

/* ---- random patterns ---- */

/* Writes a piece of pattern that matches the `length` characters at `from`. */
static size_t
disguise(char *to, size_t size, const char *from, size_t length, struct dice *dice)
{
    char c = from[0];

    switch (dice_below(dice, 8)) {
    case 0:
        return (size_t)snprintf(to, size, "*");
    case 1:
        return (size_t)snprintf(to, size, "{zz,%.*s}", (int)length, from);
    case 2:
        return (size_t)snprintf(to, size, "{%.*s,q*}", (int)length, from);
    case 3:
        return (size_t)snprintf(to, size, "?%.*s", (int)length - 1, from + 1);
    case 4:
        return (size_t)snprintf(to, size, "[%c]%.*s", c, (int)length - 1, from + 1);
    case 5:
        return (size_t)snprintf(to, size, "[!^]%.*s", (int)length - 1, from + 1);
    case 6:
        return (size_t)snprintf(to, size, "%c%.*s", toupper((unsigned char)c), (int)length - 1,
                                from + 1);
    default:
        return (size_t)snprintf(to, size, "%.*s", (int)length, from);
    }
}

/* An address of letters, slashes and the two indexes; `concrete` has them as numbers. */
static void
make_address(char *address, char *concrete, struct dice *dice)
{
    static const char *const parts[] = {"in",   "ch",   "a",  "gain", "level", "x9",
                                        "eq-1", "v1.5", "+3", "007",  "-0x"};
    int count = 1 + dice_below(dice, 4);

    *address = *concrete = '\0';
    for (int i = 0; i < count; i++) {
        char number[12];

        strcat(address, "/");
        strcat(concrete, "/");
        if (i < 2 && dice_below(dice, 2) == 0) {
            snprintf(number, sizeof number, "%d", 1 + dice_below(dice, i == 0 ? 24 : 8));
            strcat(address, i == 0 ? "{input}" : "{mix}");
            strcat(concrete, number);
        } else {
            const char *part = parts[dice_below(dice, (int)COUNT(parts))];

            strcat(address, part);
            strcat(concrete, part);
        }
    }
}

/* A message that a desk answers from, written as a pattern in any disguise, is still seen to be
 * that. */
static void
disguised_moves_are_seen(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int round = 0; round < 5000; round++) {
        char address[200], concrete[200], pattern[600];
        size_t used = 0;

        make_address(address, concrete, &dice);
        for (const char *at = concrete; *at;) {
            size_t length = strcspn(at, "/");

            if (length == 0) {
                pattern[used++] = *at++;
                continue;
            }
            length = (size_t)dice_below(&dice, (int)length) + 1;
            used += disguise(pattern + used, sizeof pattern - used, at, length, &dice);
            at += length;
        }
        pattern[used] = '\0';
        if (strlen(pattern) <= 200)
            meets(pattern, address, true);
    }
}

/* ---- in a profile ---- */

#define UNLESS                                                                                     \
    "; on many desks that is a move. If this desk only answers it, say \"this_only_asks\": true"
#define MOVE(number)                                                                               \
    "carries an argument to an address that values[" #number "] answers from" UNLESS
#define REACH(number) "may reach an address that values[" #number "] answers from" UNLESS
#define MORE "carries more than indexes" UNLESS
#define ODD(what)                                                                                  \
    "carries an argument to an address with " what ", which a desk may read as another address; "  \
    "only a plain one is sent arguments"

static const char gain_answers[] = "\"answer\": [\"/in/{input}/gain\", {\"is\": "
                                   "\"input.preamp_gain\"}]}";

static void
asks(const char *ask, const char *problem)
{
    char entry[500];

    snprintf(entry, sizeof entry, "{\"ask\": %s, %s", ask, gain_answers);
    assert_profile(entry, "", problem);
}

static void
question_with_an_argument_to_an_answered_address(void **state)
{
    static const char *const moves[] = {
        "[\"/in/{input}/gain\", 1]",       "[\"/in/{input}/gain\", \"get\"]",
        "[\"/in/{input}/gain\", true]",    "[\"/in/{input}/gain\", \"{input}\"]",
        "[\"/in/{input}/gain\", \"?\"]",   "[\"/in/*/gain\", 0]",
        "[\"/in/1/gain\", 0.5]",           "[\"/IN/{input}/Gain\", 1]",
        "[\"/in/[1-8]/gain\", 1]",         "[\"/{in,out}/1/gain\", 1]",
        "[\"/in/005/gain\", \"{input}\"]",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(moves); i++)
        asks(moves[i], "p: values[0].ask: " MOVE(0));
}

/* Whoever carries arguments writes a plain address; the word that it only asks changes nothing. */
static void
arguments_go_to_plain_addresses_alone(void **state)
{
    static const struct {
        const char *address, *problem;
    } rows[] = {
        {"//gain", ODD("an empty segment")},
        {"/get//x", ODD("an empty segment")},
        {"/get/x/", ODD("an empty segment")},
        {"/./get", ODD("a segment of dots")},
        {"/get/../in", ODD("a segment of dots")},
        {"/get/..", ODD("a segment of dots")},
        {"..", ODD("a segment of dots")},
        {"/get/.../x", ODD("a segment of dots")},
        {"/get/%35", ODD("a '%'")},
        {"/get\\\\x", ODD("a '\\'")},
        {"/get/+5", ODD("a sign before a number")},
        {"/get/-5/x", ODD("a sign before a number")},
        {"/get/-{input}", ODD("a sign before a number")},
        {"/get/ch+{input}", ODD("a sign before a number")},
        {"/get,i", ODD("a ','")},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char entry[500], problem[300];

        snprintf(entry, sizeof entry,
                 "{\"ask\": [\"%s\", \"{input}\"], \"this_only_asks\": true, %s", rows[i].address,
                 gain_answers);
        snprintf(problem, sizeof problem, "p: values[0].ask: %s", rows[i].problem);
        assert_profile(entry, "", problem);
        snprintf(entry, sizeof entry, "{\"ask\": [\"%s\"], \"this_only_asks\": true, %s",
                 rows[i].address, gain_answers);
        assert_profile(entry, "", NULL); /* without arguments it is the user's word */
    }
}

/* What carries indexes alone to an address that nothing answers from is left to the list. */
static void
questions_that_the_list_decides(void **state)
{
    static const char *const questions[] = {
        "[\"/in/{input}/gain\"]", /* not even on it */
        "[\"/get\", \"{input}\"]",
        "[\"/get/gain-{input}\", \"{input}\"]",
        "[\"/get/mix-eq/{a,b}\", \"{input}\"]",
        "[\"/all/off\"]",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(questions); i++)
        asks(questions[i], NULL);
}

static void
questions_that_carry_more_than_indexes(void **state)
{
    static const char *const questions[] = {
        "[\"/set/fader\", \"{input}\", 0.5]",
        "[\"/in/{input}/quiet\", 1]",
        "[\"/get\", \"gain\"]",
        "[\"/get\", false]",
        "[\"/*/get\", \"{input}\", 3, true, \"gain\"]",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(questions); i++)
        asks(questions[i], "p: values[0].ask: " MORE);
}

static void
questions_that_may_reach_what_answers(void **state)
{
    static const char *const questions[] = {
        "[\"/in/*/gain\"]",
        "[\"/in/1/gain\"]",
        "[\"/in/{input:2}/gain\"]",
        "[\"/in/%31/gain\"]",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(questions); i++)
        asks(questions[i], "p: values[0].ask: " REACH(0));
}

/* The user's word that this desk only answers lets it pass, for that entry alone. */
static void
this_only_asks_lets_one_entry_pass(void **state)
{
    static const char said[] =
        "{\"ask\": [\"/in/gain\", \"{input}\"], \"answer\": [\"/in/gain\", \"{input}\", {\"is\": "
        "\"input.preamp_gain\"}], \"this_only_asks\": true}";
    static const char denied[] =
        "{\"ask\": [\"/in/gain\", \"{input}\"], \"answer\": [\"/in/gain\", \"{input}\", {\"is\": "
        "\"input.preamp_gain\"}], \"this_only_asks\": false}";
    char two[1000];

    (void)state;
    assert_profile(said, "", NULL);
    assert_profile(denied, "", "p: values[0].ask: " MOVE(0));
    snprintf(two, sizeof two, "%s, %s", said, denied);
    assert_profile(two, "", "p: values[1].ask: " MOVE(0));
}

/* The address need not be the entry's own: any answer of the profile counts. */
static void
answers_of_other_entries_count(void **state)
{
    (void)state;
    assert_profile(
        "{\"at\": \"/mute/{input}\", \"is\": \"input.mute\"}, {\"ask\": [\"/mute/3\", 0],"
        " \"answer\": [\"/pre/{input}\", {\"is\": \"input.preamp_gain\"}]}",
        "", "p: values[1].ask: " MOVE(0));
    /* also of one that comes later, or is only pushed */
    assert_profile("{\"ask\": [\"/mute/3\", 0], \"answer\": [\"/pre/{input}\", {\"is\": "
                   "\"input.preamp_gain\"}]}, {\"answer\": [\"/mute/{input}\", {\"is\": "
                   "\"input.mute\"}]}",
                   "", "p: values[0].ask: " MOVE(1));
}

static void
value_in_a_question_is_refused(void **state)
{
    (void)state;
    asks("[\"/get\", {\"is\": \"input.preamp_gain\"}]",
         "p: values[0].ask[1]: a question may carry only literals and indexes; a value here would "
         "be a "
         "move");
    asks("[\"/get\", {}]", "p: values[0].ask[1]: a question may carry only literals and indexes; a "
                           "value here would be a "
                           "move");
}

static void
renewals_may_not_move_anything(void **state)
{
    static const char one[] = "{\"at\": \"/in/{input}/gain\", \"is\": \"input.preamp_gain\"}";
    static const struct {
        const char *send, *only, *problem;
    } rows[] = {
        {"[\"/stay\"]", "", NULL},
        {"[\"/stay\", 1, \"on\"]", "", MORE},
        {"[\"/desk/scene/load\", 1]", "", MORE},
        {"[\"/desk/scene/load\", 1]", ", \"this_only_asks\": false", MORE},
        {"[\"/stay\", 1, \"on\"]", ", \"this_only_asks\": true", NULL},
        {"[\"/in/1/gain\"]", "", REACH(0)},
        {"[\"/in/1/gain\"]", ", \"this_only_asks\": true", NULL},
        {"[\"/in/*/gain\", 0]", "", MOVE(0)},
        {"[\"/stay/\", 0]", ", \"this_only_asks\": true", ODD("an empty segment")},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char more[300], problem[300];

        snprintf(more, sizeof more, ", \"renew\": [{\"send\": %s, \"every_s\": 8%s}]", rows[i].send,
                 rows[i].only);
        snprintf(problem, sizeof problem, "p: renew[0].send: %s",
                 rows[i].problem ? rows[i].problem : "");
        assert_profile(one, more, rows[i].problem ? problem : NULL);
    }
    assert_profile(
        one,
        ", \"renew\": [{\"send\": [\"/stay\", {\"is\": \"input.fader\"}], "
        "\"every_s\": 8}]",
        "p: renew[0].send[1]: a question may carry only literals and indexes; a value here "
        "would be a move");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(addresses_that_may_be_the_same),
        cmocka_unit_test(addresses_that_differ),
        cmocka_unit_test(indexes_inside_patterns_are_patterns),
        cmocka_unit_test(what_osc_matches_meets),
        cmocka_unit_test(disguised_moves_are_seen),
        cmocka_unit_test(question_with_an_argument_to_an_answered_address),
        cmocka_unit_test(arguments_go_to_plain_addresses_alone),
        cmocka_unit_test(questions_that_the_list_decides),
        cmocka_unit_test(questions_that_carry_more_than_indexes),
        cmocka_unit_test(questions_that_may_reach_what_answers),
        cmocka_unit_test(this_only_asks_lets_one_entry_pass),
        cmocka_unit_test(answers_of_other_entries_count),
        cmocka_unit_test(value_in_a_question_is_refused),
        cmocka_unit_test(renewals_may_not_move_anything),
    };

    return cmocka_run_group_tests_name("read_only", tests, NULL, NULL);
}
