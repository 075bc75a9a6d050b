/* SPDX-License-Identifier: MIT */
#include "profiles.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "unit.h"

void
loaded_read(struct loaded *loaded, const char *text)
{
    struct json *json;

    loaded->problems = (struct problems){0};
    loaded->profile = NULL;
    json = json_parse(text, strlen(text), "p", &loaded->problems);
    if (json)
        loaded->profile = profile_from_json(json, "p", &loaded->problems);
    json_free(json);
    /* a profile is given exactly when nothing is wrong with it */
    assert_int_equal(loaded->profile != NULL, loaded->problems.count == 0);
}

void
loaded_sound(struct loaded *loaded, const char *text)
{
    loaded_read(loaded, text);
    for (size_t i = 0; i < loaded->problems.count; i++)
        print_error("%s\n", loaded->problems.lines[i]);
    assert_non_null(loaded->profile);
}

void
loaded_release(struct loaded *loaded)
{
    profile_free(loaded->profile);
    problems_release(&loaded->problems);
}

const char *
profile_with(const char *values, const char *more)
{
    static char text[8192];
    int length = snprintf(
        text, sizeof text,
        "{\"profile_format\": 1, \"desk\": \"Test desk\","
        " \"link\": {\"transport\": \"udp\", \"port\": 9100},"
        " \"counts\": {\"input\": 24, \"mix\": 8, \"group\": 4, \"input.eq.band\": 4,"
        " \"mix.graphic.band\": 31, \"mix.eq.band\": 4},"
        " \"laws\": {\"head\": {\"line\": [[0, -4], [1, 56]]},"
        " \"fader\": {\"line\": [[0, \"-inf\"], [0.04, -70], [0.35, -25], [0.7, 0], [1, 10]]},"
        " \"corner\": {\"ratio\": [[0, 16], [1, 500]]},"
        " \"switch\": {\"words\": [[0, false], [1, true]]},"
        " \"tap\": {\"words\": [[0, \"pre-eq\"], [1, \"pre-fader\"], [2, \"post-fader\"]]}},"
        " \"values\": [%s]%s}",
        values, more);

    assert_true(length > 0 && length < (int)sizeof text);
    return text;
}

int
profile_rig_make(void **state)
{
    *state = calloc(1, sizeof(struct profile_rig));
    return *state ? 0 : -1;
}

int
profile_rig_drop(void **state)
{
    struct profile_rig *rig = *state;

    desk_free(rig->desk);
    loaded_release(&rig->loaded);
    free(rig);
    return 0;
}

const struct profile *
profile_rig_load(void **state, const char *text)
{
    struct profile_rig *rig = *state;

    loaded_release(&rig->loaded);
    loaded_sound(&rig->loaded, text);
    return rig->loaded.profile;
}

struct desk *
profile_rig_desk(void **state, const char *text)
{
    struct profile_rig *rig = *state;
    const struct profile *profile = profile_rig_load(state, text);

    desk_free(rig->desk);
    rig->desk = profile_desk(profile);
    assert_non_null(rig->desk);
    return rig->desk;
}

void
assert_problems(const struct problems *problems, const char *const *lines)
{
    size_t count = 0;

    while (lines[count])
        count++;
    for (size_t i = 0; i < problems->count && i < PROBLEMS_KEPT; i++)
        if (i >= count || strcmp(problems->lines[i], lines[i]) != 0)
            print_error("found:    %s\nexpected: %s\n", problems->lines[i],
                        i < count ? lines[i] : "nothing");
    assert_int_equal(problems->count, count);
    for (size_t i = 0; i < count; i++)
        assert_string_equal(problems->lines[i], lines[i]);
}

void
assert_profile(const char *values, const char *more, const char *problem)
{
    const char *const lines[] = {problem, NULL};
    struct loaded loaded;

    loaded_read(&loaded, profile_with(values, more));
    if (problem && loaded.problems.count == 0)
        print_error("not refused: %s%s\n", values, more);
    assert_problems(&loaded.problems, lines);
    loaded_release(&loaded);
}
