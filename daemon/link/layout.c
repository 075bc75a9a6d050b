/* SPDX-License-Identifier: MIT */
#include "link/layout.h"

#include <stdlib.h>

#include "core/need.h"

static bool
protects(const struct entry *entry)
{
    const struct pattern *answer = &entry->answer;
    size_t at = 0;

    while (at < answer->count &&
           (answer->elements[at].kind != ELEMENT_VALUE ||
            params[answer->elements[at].param].class != DIFFERENCE_PROTECTION))
        at++;
    return at < answer->count;
}

static void
add_entry(struct layout *layout, size_t number, size_t places)
{
    const struct entry *entry = &layout->profile->entries[number];
    size_t answers = entry_places(layout->profile, entry, entry->variable_count) / places;

    for (size_t place = 0; place < places; place++) {
        layout->all[layout->count] = (struct asking){(uint32_t)number, (uint32_t)place,
                                                     (uint32_t)layout->answers, (uint32_t)answers};
        layout->protects[layout->count++] = protects(entry);
        layout->answers += answers;
    }
}

static size_t
places_of(const struct profile *profile, size_t number)
{
    const struct entry *entry = &profile->entries[number];

    return entry->asks ? entry_places(profile, entry, entry->asked_count) : 0;
}

struct layout
layout_of(const struct profile *profile)
{
    struct layout layout = {.profile = profile};
    size_t count = 0;

    for (size_t i = 0; i < profile->entry_count; i++)
        count += places_of(profile, i);
    layout.all = need_memory(count + 1, sizeof *layout.all);
    layout.protects = need_memory(count + 1, sizeof *layout.protects);
    layout.entry_first = need_memory(profile->entry_count + 1, sizeof *layout.entry_first);
    for (size_t i = 0; i < profile->entry_count; i++) {
        layout.entry_first[i] = layout.count;
        if (places_of(profile, i) > 0)
            add_entry(&layout, i, places_of(profile, i));
    }
    return layout;
}

void
layout_release(struct layout *layout)
{
    free(layout->all);
    free(layout->protects);
    free(layout->entry_first);
}

size_t
layout_number(const struct layout *layout, size_t entry, size_t place)
{
    size_t first = layout->entry_first[entry];

    return first + place / layout->all[first].answers;
}
