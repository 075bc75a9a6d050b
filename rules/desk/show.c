/* SPDX-License-Identifier: MIT */
#include "desk/show.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "desk/label.h"
#include "desk/source.h"

static const struct {
    const char *name;
    const char *words; /* label words, as in sources[] */
} kinds[FEEDS_COUNT] = {
    [FEEDS_UNKNOWN] = {"", ""},
    [FEEDS_WEDGE] = {"wedge", "wedge|wedges|wdg|wg|floor wedge"},
    [FEEDS_SIDE_FILL] = {"side-fill", "side fill|side fills|sidefill|sidefills|sides"},
    [FEEDS_DRUM_FILL] = {"drum-fill", "drum fill|drumfill|drum sub"},
    [FEEDS_IN_EAR] = {"in-ear", "iem|iems|ear|ears|in ear|in ears|pack"},
    [FEEDS_UNUSED] = {"unused", "unused|spare|not used|empty"},
};

static const char *const microphones[MICROPHONES] = {"",          "dynamic",   "ribbon",
                                                     "condenser", "active-di", "line"};

const char *
microphone_name(enum microphone microphone)
{
    return microphones[microphone];
}

struct show *
show_new(int inputs, int mixes, const struct show_check *presets, int checks)
{
    struct show *show = need_memory(1, sizeof *show);

    show->inputs = need_memory((size_t)inputs + 1, sizeof *show->inputs);
    show->mixes = need_memory((size_t)mixes + 1, sizeof *show->mixes);
    show->checks = need_memory((size_t)checks + 1, sizeof *show->checks);
    show->input_count = inputs;
    show->mix_count = mixes;
    for (int i = 0; i < inputs; i++)
        show->inputs[i].source = SOURCE_UNKNOWN;
    memcpy(show->checks, presets, (size_t)checks * sizeof *presets);
    return show;
}

void
show_free(struct show *show)
{
    if (!show)
        return;
    free(show->inputs);
    free(show->mixes);
    free(show->checks);
    free(show->accepts);
    free(show->stage);
    free(show);
}

const char *
feeds_name(enum feeds feeds)
{
    return kinds[feeds].name;
}

enum feeds
feeds_from_label(const char *text, char rest[SHOW_NAME_SIZE])
{
    struct label label;
    enum feeds best = FEEDS_UNKNOWN;
    int best_fit = 0;

    label_read(&label, text);
    for (int i = FEEDS_UNKNOWN + 1; i < FEEDS_COUNT; i++) {
        int fit = label_fit(&label, kinds[i].words);

        if (fit > best_fit) {
            best_fit = fit;
            best = (enum feeds)i;
        }
    }
    label_without(text, kinds[best].words, rest, SHOW_NAME_SIZE);
    return best;
}

bool
feeds_loudspeaker(enum feeds feeds)
{
    return feeds == FEEDS_WEDGE || feeds == FEEDS_SIDE_FILL || feeds == FEEDS_DRUM_FILL;
}
