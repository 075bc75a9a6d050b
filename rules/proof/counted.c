/* SPDX-License-Identifier: MIT */
#include "proof/counted.h"

#include "desk/source.h"

static int
told_by_label(const struct desk *desk, enum param_id id, int row, int none)
{
    const struct value *label = desk_value(desk, id, row, 0);

    return label->state == VALUE_KNOWN ? (int)value_number(label) : none;
}

enum sure
counted_input(const struct desk *desk, const struct show *show, int input)
{
    int source = show->inputs[input].source;

    if (source == SOURCE_UNKNOWN)
        source = told_by_label(desk, PARAM_INPUT_NAME, input, SOURCE_UNKNOWN);
    if (source == SOURCE_UNKNOWN || source == SOURCE_UNUSED)
        return UNSURE;
    return sure(!sources[source].line);
}

enum sure
counted_mix(const struct desk *desk, const struct show *show, int mix)
{
    enum feeds feeds = show->mixes[mix].feeds;

    if (feeds == FEEDS_UNKNOWN)
        feeds = (enum feeds)told_by_label(desk, PARAM_MIX_NAME, mix, FEEDS_UNKNOWN);
    return feeds == FEEDS_UNKNOWN ? UNSURE : sure(feeds_loudspeaker(feeds));
}
