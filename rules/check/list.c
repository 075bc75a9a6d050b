/* SPDX-License-Identifier: MIT */
#include "check/check.h"

#include <stddef.h>
#include <string.h>

#define CHECK_DECLARE(number, table) extern const struct check check_##table;
CHECK_LIST(CHECK_DECLARE)

#define CHECK_ENTRY(number, table) [CHECK_##number] = &check_##table,
const struct check_set check_set_all = {.of = {CHECK_LIST(CHECK_ENTRY)}};

struct check_set
check_set_compared(void)
{
    struct check_set set = check_set_all;

    for (int i = 0; i < CHECKS; i++)
        if (set.of[i]->momentary)
            set.of[i] = NULL;
    return set;
}

void
check_set_drop_estimates(struct check_set *set)
{
    for (int i = 0; i < CHECKS; i++)
        if (set->of[i] && set->of[i]->of_plan)
            set->of[i] = NULL;
}

struct check_set
check_set_lasting(void)
{
    struct check_set set = check_set_compared();

    check_set_drop_estimates(&set);
    return set;
}

const char *
check_name(int number)
{
    return check_set_all.of[number]->id;
}

int
check_find(const char *id)
{
    for (int i = 0; i < CHECKS; i++)
        if (strcmp(check_name(i), id) == 0)
            return i;
    return -1;
}

static struct show_check
preset_of(const struct check *check)
{
    struct show_check preset = {
        .raise_after_s = check->raise_after_s > 0 ? check->raise_after_s : CHECK_RAISE_AFTER_S,
        .clear_after_s = check->clear_after_s > 0 ? check->clear_after_s : CHECK_CLEAR_AFTER_S,
    };

    for (int i = 0; i < CHECK_SETTINGS; i++)
        preset.settings[i] = check->settings[i].preset;
    return preset;
}

struct show *
check_set_show(struct check_set set, int inputs, int mixes)
{
    struct show_check presets[CHECKS];

    for (int i = 0; i < CHECKS; i++)
        presets[i] = set.of[i] ? preset_of(set.of[i]) : (struct show_check){.off = true};
    return show_new(inputs, mixes, presets, CHECKS);
}
