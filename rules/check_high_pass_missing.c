#include "check.h"

#include <stddef.h>

#include "high_pass.h"

static const enum param_id reads[] = {HIGH_PASS_READS, PARAM_SEND_ON,     PARAM_SEND_LEVEL,
                                      PARAM_SEND_TAP,  PARAM_INPUT_FADER, PARAM_MIX_NAME,
                                      PARAMS};

/* Where the input is heard: 0 nowhere, 1 in in-ears only, 2 in a loudspeaker mix; -1 not known. */
static int
heard_in(struct look *look, int input)
{
    int heard = 0;

    for (int mix = 0; mix < desk_count(look->desk, INDEX_MIX); mix++) {
        bool open = false;
        enum feeds feeds;

        if (!look_send_open(look, input, mix, &open) || !open)
            continue;
        feeds = look_feeds(look, mix);
        if (feeds_loudspeaker(feeds))
            return 2;
        if (feeds == FEEDS_IN_EAR)
            heard = 1;
    }
    return look->missing > 0 ? -1 : heard;
}

static void
run(struct look *look, struct object object)
{
    const struct source *source = high_pass_source(look, object.input);
    double corner_hz = 0;
    int order = 0;
    int heard;
    struct text text;
    bool on;

    if (!source || !high_pass_read(look, object.input, &on, &corner_hz, &order))
        return;
    if (on) {
        look_pass(look);
        return;
    }
    heard = heard_in(look, object.input);
    if (heard == 0) {
        look_closed(look);
        return;
    }
    if (heard < 0) {
        look_not_known(look);
        return;
    }
    look_found(look, heard == 2 ? WEIGHT_FIX : WEIGHT_NOTE, source->corner_low_hz);
    look_figure(look, "usual_corner_low_hz", source->corner_low_hz);
    look_figure(look, "usual_corner_high_hz", source->corner_high_hz);
    text = look_says(look);
    text_add(&text, "the high-pass is off; a %s source has no use for what lies below %f Hz%s",
             source->id, source->corner_low_hz,
             heard == 2 ? ", and it is open into a loudspeaker mix" : "");
    text = look_cure(look);
    text_add(&text,
             "high-pass on, from %f Hz up; raise it while listening, as far as the sound stays "
             "(usual: %f to %f Hz)",
             source->corner_low_hz, source->corner_low_hz, source->corner_high_hz);
}

const struct check check_high_pass_missing = {
    .id = "high-pass-missing",
    .objects = OBJECT_INPUT,
    .reads = reads,
    .severity = "usual_corner_low_hz",
    .worse_step = 1e9, /* it is off or on; nothing in between */
    .fails_when = "the high-pass is off on an open input whose source has no use for lows. Into a "
                  "loudspeaker mix it should be fixed, into in-ears only it is a note. Kick, floor "
                  "tom, bass, keys and playback may go without.",
    .why = "Below its lowest note a microphone brings only rumble, stage thump and the bass of the "
           "wedges, which takes headroom and feeds the low end of the loop.",
    .cure = "Switch it on and raise the corner as far as the sound of the instrument stays.",
    .formula = "high-pass off and source in the table of sources that want one",
    .source = HIGH_PASS_CORNERS,
    .run = run,
};
