/* SPDX-License-Identifier: MIT */
/* What is wrong with the parts of a profile that say how a desk differs from plain OSC over UDP:
 * link, arguments without type tags, text lines, blobs, addresses without a slash. The rest:
 * profile_errors.c.
 */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "profiles.h"

/* ---- the link ---- */

static void
link_is_told(const char *link, const char *problem)
{
    const char *const lines[] = {problem, NULL};
    struct loaded loaded;
    char text[600];

    snprintf(text, sizeof text,
             "{\"profile_format\": 1, \"desk\": \"d\", \"link\": {%s},"
             " \"counts\": {\"input\": 2, \"mix\": 2},"
             " \"values\": [{\"at\": \"/m/{input}\", \"is\": \"input.mute\"}]}",
             link);
    loaded_read(&loaded, text);
    if (problem && loaded.problems.count == 0)
        print_error("not refused: %s\n", link);
    assert_problems(&loaded.problems, lines);
    loaded_release(&loaded);
}

#define UDP "\"transport\": \"udp\", \"port\": 9"
#define TCP "\"transport\": \"tcp\", \"port\": 9"

static void
links_are_sound(void **state)
{
    static const struct {
        const char *link, *problem;
    } rows[] = {
        {TCP, "p: link.framing: is missing; it must be a string"},
        {TCP ", \"framing\": \"lines\"",
         "p: link.framing: is \"lines\"; allowed are \"size\" and \"slip\""},
        {TCP ", \"framing\": \"Slip\"",
         "p: link.framing: is \"Slip\"; allowed are \"size\" and \"slip\""},
        {TCP ", \"framing\": 4", "p: link.framing: is a number, must be a string"},
        {TCP ", \"framin\": \"size\", \"framing\": \"size\"",
         "p: link.framin: unknown key, did you mean \"framing\"?"},
        {UDP ", \"framing\": \"slip\"", "p: link.framing: is for \"tcp\" alone"},
        {TCP ", \"framing\": \"slip\", \"answers_from\": \"any-port\"",
         "p: link.answers_from: is for \"udp\" alone"},
        {TCP ", \"framing\": \"slip\", \"answer_port\": 9",
         "p: link.answer_port: is for \"udp\" alone"},
        {UDP ", \"answers_from\": \"any\"",
         "p: link.answers_from: is \"any\"; allowed are \"same-port\" and \"any-port\""},
        {UDP ", \"answers_from\": true",
         "p: link.answers_from: is true or false, must be a string"},
        {UDP ", \"answer_port\": 0", "p: link.answer_port: must be a whole number from 1 to 65535"},
        {UDP ", \"answer_port\": 65536",
         "p: link.answer_port: must be a whole number from 1 to 65535"},
        {UDP ", \"answer_port\": 9.5",
         "p: link.answer_port: must be a whole number from 1 to 65535"},
        {UDP ", \"answer_port\": -1",
         "p: link.answer_port: must be a whole number from 1 to 65535"},
        {UDP ", \"answer_port\": \"9\"", "p: link.answer_port: is a string, must be a number"},
        {UDP ", \"type_tags\": 0", "p: link.type_tags: is a number, must be true or false"},
        {UDP ", \"type_tags\": \"no\"", "p: link.type_tags: is a string, must be true or false"},
        {"\"port\": 9", "p: link.transport: is missing; it must be a string"},
        {"\"transport\": \"UDP\", \"port\": 9",
         "p: link.transport: is \"UDP\"; allowed are \"udp\" and \"tcp\""},
        {"\"transport\": \"udp\", \"port\": 0",
         "p: link.port: must be a whole number from 1 to 65535"},
        {"\"transport\": \"udp\"", "p: link.port: is missing; it must be a number"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++)
        link_is_told(rows[i].link, rows[i].problem);
}

static void
links_at_their_limits_are_sound(void **state)
{
    static const char *const links[] = {
        UDP,
        UDP ", \"answer_port\": 1",
        UDP ", \"answer_port\": 65535, \"answers_from\": \"any-port\", \"type_tags\": false",
        TCP ", \"framing\": \"size\"",
        TCP ", \"framing\": \"slip\", \"type_tags\": true",
    };

    (void)state;
    for (size_t i = 0; i < COUNT(links); i++)
        link_is_told(links[i], NULL);
}

/* ---- entries ---- */

struct row {
    const char *values, *problem;
};

static void
each_is_told(const struct row *rows, size_t count)
{
    for (size_t i = 0; i < count; i++)
        assert_profile(rows[i].values, "", rows[i].problem);
}

static void
untyped_has_a_letter_for_each_argument(void **state)
{
    static const char bad[] =
        "p: values[0].untyped: must be a letter for each argument: i, f, s, h "
        "or d, s for a text of fields, b for a blob";
    static const char *const letters[] = {"", "ff", "x", "T", "F", ",f", "fi", "I", "t", "[", " "};
    static const struct row rows[] = {
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"untyped\": true}",
         "p: values[0].untyped: is true or false, must be a string"},
        {"{\"answer\": [\"/f\", \"{input}\", {\"is\": \"input.fader\"}], \"untyped\": \"f\"}", bad},
        {"{\"answer\": [\"/f\", \"{input}\", {\"is\": \"input.fader\"}], \"untyped\": \"iff\"}",
         bad},
        {"{\"answer\": [\"/f\", \"{input}\", {\"is\": \"input.fader\"}], \"untyped\": \"if\"}",
         NULL},
        /* a line is one argument, and so is a run */
        {"{\"answer\": [\"/f\", {\"text\": \" \", \"fields\": [\"{input}\", \"*\"]},"
         " {\"is\": \"input.fader\"}], \"untyped\": \"ssf\"}",
         bad},
        {"{\"answer\": [\"/f\", {\"text\": \" \", \"fields\": [\"{input}\", \"*\"]},"
         " {\"is\": \"input.fader\"}], \"untyped\": \"sf\"}",
         NULL},
        {"{\"answer\": [\"/f\", {\"text\": \" \", \"fields\": [\"{input}\", \"*\"]},"
         " {\"is\": \"input.fader\"}], \"untyped\": \"if\"}",
         bad},
        {"{\"answer\": [\"/f\", {\"blob\": \"int16be\", \"each\": \"input\", \"is\": "
         "\"input.fader\"}],"
         " \"untyped\": \"i\"}",
         bad},
        {"{\"answer\": [\"/f\", {\"blob\": \"int16be\", \"each\": \"input\", \"is\": "
         "\"input.fader\"}],"
         " \"untyped\": \"b\"}",
         NULL},
        {"{\"answer\": [\"/f\", {\"is\": \"input.fader\", \"each\": \"input\"}],"
         " \"untyped\": \"f\"}",
         NULL},
        {"{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"untypd\": \"f\"}",
         "p: values[0].untypd: unknown key, did you mean \"untyped\"?"},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(letters); i++) {
        char entry[200];

        snprintf(entry, sizeof entry,
                 "{\"at\": \"/f/{input}\", \"is\": \"input.fader\", \"untyped\": \"%s\"}",
                 letters[i]);
        assert_profile(entry, "", bad);
    }
    each_is_told(rows, COUNT(rows));
}

/* An answer of one argument at values[0].answer[1]. */
#define ANSWER(argument) "{\"ask\": [\"/a\"], \"answer\": [\"/a\", " argument "]}"
#define LINE(text, fields) ANSWER("{\"text\": " text ", \"fields\": [" fields "]}")
#define GAIN "{\"is\": \"input.preamp_gain\"}"

static void
lines_are_sound(void **state)
{
    static const char separator[] =
        "p: values[0].answer[1].text: must be the one character that parts the fields";
    static const struct row rows[] = {
        {LINE("\" \"", "\"{input}\", " GAIN), NULL},
        {LINE("\"/\"", "\"{input}\", " GAIN), NULL},
        {LINE("\"\"", "\"{input}\", " GAIN), separator},
        {LINE("\", \"", "\"{input}\", " GAIN), separator},
        {LINE("\"\\\"\"", "\"{input}\", " GAIN), separator},
        {LINE("\"\xc3\xa4\"", "\"{input}\", " GAIN), separator},
        {LINE("4", "\"{input}\", " GAIN),
         "p: values[0].answer[1].text: is a number, must be a string"},
        {ANSWER("{\"fields\": [\"{input}\", " GAIN "]}"),
         "p: values[0].answer[1].text: is missing; it must be a string"},
        {ANSWER("{\"text\": \" \"}"),
         "p: values[0].answer[1].fields: is missing; it must be an array"},
        {ANSWER("{\"text\": \" \", \"fields\": {}}"),
         "p: values[0].answer[1].fields: is an object, must be an array"},
        {LINE("\" \"", ""), "p: values[0].answer[1].fields: is empty"},
        {ANSWER("{\"text\": \" \", \"fields\": [\"{input}\", " GAIN "], \"colour\": 1}"),
         "p: values[0].answer[1].colour: unknown key"},
        {ANSWER("{\"text\": \" \", \"felds\": [], \"fields\": [\"{input}\", " GAIN "]}"),
         "p: values[0].answer[1].felds: unknown key, did you mean \"fields\"?"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

static void
fields_are_sound(void **state)
{
    static const struct row rows[] = {
        {LINE("\" \"", "\"{input}\", null"),
         "p: values[0].answer[1].fields[1]: is null; allowed are a number, text, true, false, an "
         "{index}, \"*\" or a value"},
        {LINE("\" \"", "\"{inptu}\", {\"is\": \"desk.talkback\"}"),
         "p: values[0].answer[1].fields[0]: unknown index {inptu}, did you mean \"input\"?"},
        {LINE("\" \"", "\"{input}\", {\"is\": \"input.fadr\"}"),
         "p: values[0].answer[1].fields[1].is: unknown parameter \"input.fadr\", did you mean "
         "\"input.fader\"?; `gainwarden explain parameters` lists them"},
        {LINE("\" \"", "\"{input}\", {\"is\": \"input.fader\", \"law\": \"fadre\"}"),
         "p: values[0].answer[1].fields[1].law: no law \"fadre\" under \"laws\", did you mean "
         "\"fader\"?"},
        {LINE("\" \"", "\"{input}\", {\"is\": \"input.fader\", \"range\": [2, 1]}"),
         "p: values[0].answer[1].fields[1].range: must be [least, most], two rising numbers"},
        {LINE("\" \"", "\"{input}\", {\"is\": \"input.fader\", \"colour\": 1}"),
         "p: values[0].answer[1].fields[1].colour: unknown key"},
        {LINE("\" \"", "\"{input}\", \"*\""),
         "p: values[0]: gives no value: no argument of the answer says what it \"is\""},
        {LINE("\" \"", GAIN),
         "p: values[0]: input.preamp_gain needs {input} in the address or among the arguments"},
        {LINE("\" \"", "\"{input}\", {\"is\": \"input.eq.band.q\", \"each\": \"band\"}, \"*\""),
         "p: values[0]: a run (\"each\") must be the last argument"},
        {ANSWER("{\"text\": \" \", \"fields\": [\"{input}\", {\"is\": \"input.eq.band.q\","
                " \"each\": \"band\"}]}, 4"),
         "p: values[0]: a run (\"each\") must be the last argument"},
        {LINE("\" \"", "\"{input}\", {\"is\": \"input.eq.band.q\", \"each\": \"band\"}"), NULL},
        {LINE("\" \"", "\"{input}\", {\"blob\": \"int16be\", \"is\": \"input.eq.band.q\","
                       " \"each\": \"band\"}"),
         "p: values[0].answer[1].fields[1]: a field holds neither a blob nor another text"},
        {LINE("\" \"", "\"{mix}\", \"{band}\", {\"is\": \"mix.eq.band.q\"},"
                       " {\"is\": \"mix.graphic.band.gain\"}"),
         "p: values[0]: one entry cannot hold both mix.eq.band and mix.graphic.band"},
        {"{\"ask\": [\"/a\", {\"text\": \" \", \"fields\": [\"{input}\"]}],"
         " \"answer\": [\"/a/{input}\", " GAIN "]}",
         "p: values[0].ask[1]: a question may carry only literals and indexes; a value here would "
         "be a move"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

#define BLOB(members) ANSWER("\"{input}\", {\"is\": \"input.eq.band.gain\", " members "}")

static void
blobs_are_sound(void **state)
{
    static const char skip[] = "p: values[0].answer[2].skip: must be a whole number from 0 to 1024";
    static const struct row rows[] = {
        {BLOB("\"blob\": \"int16be\", \"each\": \"band\""), NULL},
        {BLOB("\"blob\": \"float32le\", \"each\": \"band\", \"skip\": 0, \"step\": 0.5,"
              " \"range\": [-18, 18], \"law\": {\"times\": 0.1}"),
         NULL},
        {BLOB("\"blob\": \"int16le\", \"each\": \"band\", \"skip\": 1024"), NULL},
        {BLOB("\"blob\": \"int16le\", \"each\": \"band\", \"skip\": 1025"), skip},
        {BLOB("\"blob\": \"int16le\", \"each\": \"band\", \"skip\": -1"), skip},
        {BLOB("\"blob\": \"int16le\", \"each\": \"band\", \"skip\": 1.5"), skip},
        {BLOB("\"blob\": \"int16le\", \"each\": \"band\", \"skip\": \"4\""),
         "p: values[0].answer[2].skip: is a string, must be a number"},
        {BLOB("\"blob\": \"flaot32be\", \"each\": \"band\""),
         "p: values[0].answer[2].blob: unknown numbers \"flaot32be\", did you mean \"float32be\"?; "
         "int16, int32 and float32, each with be or le"},
        {BLOB("\"blob\": \"Int32le\", \"each\": \"band\""),
         "p: values[0].answer[2].blob: unknown numbers \"Int32le\", did you mean \"int32le\"?; "
         "int16, int32 and float32, each with be or le"},
        {BLOB("\"blob\": \"something else\", \"each\": \"band\""),
         "p: values[0].answer[2].blob: unknown numbers \"something else\"; int16, int32 and "
         "float32, each with be or le"},
        {BLOB("\"blob\": 16, \"each\": \"band\""),
         "p: values[0].answer[2].blob: is a number, must be a string"},
        {BLOB("\"blob\": \"int16be\""),
         "p: values[0].answer[2].each: is missing: a blob is a run along one index"},
        {BLOB("\"blob\": \"int16be\", \"each\": 4"),
         "p: values[0].answer[2].each: is a number, must be a string"},
        {BLOB("\"blob\": \"int16be\", \"each\": \"mix\""),
         "p: values[0].answer[2].each: input.eq.band.gain has no index \"mix\" to run along"},
        {BLOB("\"blob\": \"int16be\", \"each\": \"band\", \"skp\": 4"),
         "p: values[0].answer[2].skp: unknown key, did you mean \"skip\"?"},
        {BLOB("\"each\": \"band\", \"skip\": 4"),
         "p: values[0].answer[2].blob: is missing; it must be a string"},
        {ANSWER("\"{input}\", {\"blob\": \"int16be\", \"each\": \"band\"}"),
         "p: values[0].answer[2].is: is missing; it must be a string"},
        {ANSWER("{\"blob\": \"int16be\", \"is\": \"input.eq.band.gain\", \"each\": \"band\"},"
                " \"{input}\""),
         "p: values[0]: a run (\"each\") must be the last argument"},
        {"{\"ask\": [\"/a\", {\"blob\": \"int16be\", \"is\": \"input.fader\","
         " \"each\": \"input\"}], \"answer\": [\"/a/{input}\", " GAIN "]}",
         "p: values[0].ask[1]: a question may carry only literals and indexes; a value here would "
         "be a move"},
        {"{\"at\": \"/a/{input}\", \"blob\": \"int16be\", \"is\": \"input.eq.band.gain\","
         " \"each\": \"band\"}",
         "p: values[0].blob: unknown key"},
    };

    (void)state;
    each_is_told(rows, COUNT(rows));
}

/* `arguments` arguments, then a line of `fields` fields with the value at its end. */
static void
many_elements(int arguments, int fields, const char *problem)
{
    char values[2000] = "{\"answer\": [\"/a/{input}\"";

    for (int i = 0; i < arguments; i++)
        strcat(values, ", \"*\"");
    strcat(values, ", {\"text\": \" \", \"fields\": [");
    for (int i = 0; i + 1 < fields; i++)
        strcat(values, "\"*\", ");
    strcat(values, GAIN "]}]}");
    assert_profile(values, "", problem);
}

static void
arguments_and_fields_are_counted_together(void **state)
{
    char values[2000] = "{\"answer\": [\"/a/{input}\", " GAIN;

    (void)state;
    many_elements(0, 63, NULL);
    many_elements(62, 1, NULL);
    many_elements(30, 33, NULL);
    many_elements(0, 64, "p: values[0].answer[1].fields[63]: more than 63 arguments and fields");
    many_elements(60, 4, "p: values[0].answer[61].fields[3]: more than 63 arguments and fields");
    many_elements(63, 1, "p: values[0].answer[64].fields[0]: more than 63 arguments and fields");
    for (int i = 0; i < 63; i++)
        strcat(values, ", 4");
    strcat(values, "]}");
    assert_profile(values, "", "p: values[0].answer[64]: more than 63 arguments and fields");
}

/* ---- addresses ---- */

static void
addresses_begin_with_a_slash_or_a_name(void **state)
{
    static const struct {
        const char *address;
        const char *answer,
            *question; /* the problem behind "values[0].answer[0]: " or "ask[0]: " */
    } rows[] = {
        {"", "an address begins with '/' or a name, found \"\"",
         "an address begins with '/' or a name, found \"\""},
        {"/", "an address begins with '/' or a name, found \"/\"",
         "an address begins with '/' or a name, found \"/\""},
        {",a", "an address begins with '/' or a name, found \",a\"",
         "an address begins with '/' or a name, found \",a\""},
        {"#a", "the character '#' may not stand in this address",
         "the character '#' may not stand in this address"},
        {" a", "the character ' ' may not stand in this address",
         "the character ' ' may not stand in this address"},
        {"a\x7f", "the character '\x7f' may not stand in this address",
         "the character '\x7f' may not stand in this address"},
        {"\xc3\xa4", "the character '\xc3' may not stand in this address",
         "the character '\xc3' may not stand in this address"},
        {"*", "the character '*' may not stand in this address", NULL},
        {"?a", "the character '?' may not stand in this address", NULL},
        {"[ab]", "the character '[' may not stand in this address", NULL},
        {"a]", "the character ']' may not stand in this address", NULL},
        {"a,b", "the character ',' may not stand in this address", NULL},
        {"a{b,c}", "the character '{' may not stand in this address", NULL},
        {"a", NULL, NULL},
        {"7", NULL, NULL},
        {"~!$&'()+-.:;<=>@^_`|", NULL, NULL},
        {"a/b", NULL, NULL},
    };

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        char values[300], problem[200];

        snprintf(values, sizeof values, "{\"answer\": [\"%s\", {\"is\": \"desk.talkback\"}]}",
                 rows[i].address);
        snprintf(problem, sizeof problem, "p: values[0].answer[0]: %s", rows[i].answer);
        assert_profile(values, "", rows[i].answer ? problem : NULL);
        snprintf(values, sizeof values,
                 "{\"ask\": [\"%s\"], \"this_only_asks\": true,"
                 " \"answer\": [\"talk\", {\"is\": \"desk.talkback\"}]}",
                 rows[i].address);
        snprintf(problem, sizeof problem, "p: values[0].ask[0]: %s", rows[i].question);
        assert_profile(values, "", rows[i].question ? problem : NULL);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(links_are_sound),
        cmocka_unit_test(links_at_their_limits_are_sound),
        cmocka_unit_test(untyped_has_a_letter_for_each_argument),
        cmocka_unit_test(lines_are_sound),
        cmocka_unit_test(fields_are_sound),
        cmocka_unit_test(blobs_are_sound),
        cmocka_unit_test(arguments_and_fields_are_counted_together),
        cmocka_unit_test(addresses_begin_with_a_slash_or_a_name),
    };

    return cmocka_run_group_tests_name("profile_forms_errors", tests, NULL, NULL);
}
