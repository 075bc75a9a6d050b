/* SPDX-License-Identifier: MIT */
#include "desk/source.h"

#include <stddef.h>
#include <string.h>

#include "core/credit.h"
#include "desk/label.h"

/* Lowest notes are frequencies at A4 = 440 Hz, f = 440 * 2^(n / 12). A drum has none: there it is
 * where its body begins. */
#define ZYTRAX CREDIT_RANGES
#define COOK CREDIT_SAXOPHONES
#define PSW CREDIT_HIGH_PASS
#define PSW_TOP(top, low) top " Hz: " CREDIT_HIGH_PASS "; " low " Hz: " CREDIT_PRACTICE
#define PRACTICE CREDIT_PRACTICE
#define NONE "depends on the player"
#define UNPUBLISHED "no published figure at hand"

static const char DRUM[] = CREDIT_DRUMS;

const struct source sources[] = {
    {"unused", "unused|spare|not used|empty", 0, 0, 0, false, PHANTOM_EITHER, true, NONE, PRACTICE},
    {"kick", "kick|kik|kck|bd|bass drum|kick in|kick out", 50, 30, 50, false, PHANTOM_EITHER, false,
     DRUM, PSW},
    {"snare", "snare|snr|sn|sd|snare top|snare bot|snare bottom", 150, 80, 120, true,
     PHANTOM_EITHER, false, DRUM, PRACTICE},
    {"rack-tom", "tom|rack|rack tom|hi tom|mid tom|tom hi|tom mid", 240, 60, 80, true,
     PHANTOM_EITHER, false, DRUM, PRACTICE},
    {"floor-tom", "floor|floor tom|flr tom|ft|tom flr|low tom|tom lo|tom low", 80, 40, 60, false,
     PHANTOM_EITHER, false, DRUM, PRACTICE},
    {"hi-hat", "hat|hats|hh|hihat|hi hat", 0, 150, 500, true, PHANTOM_NEEDED, false, NONE,
     PSW_TOP("500", "150")},
    {"overhead", "oh|ohl|ohr|overhead|overheads|ovhd|cymbal|cymbals|ride", 0, 120, 500, true,
     PHANTOM_NEEDED, false, NONE, PSW},
    {"percussion", "perc|percussion|shaker|tambourine|tamb", 0, 120, 300, true, PHANTOM_EITHER,
     false, NONE, PRACTICE},
    {"hand-drum", "hand drum|hand drums|conga|congas|bongo|bongos|djembe|tabla|timbale|timbales", 0,
     60, 120, true, PHANTOM_EITHER, false, NONE, PRACTICE},
    {"cajon", "cajon", 0, 30, 60, false, PHANTOM_EITHER, false, NONE, PRACTICE},
    {"drum-pad", "pad|pads|drum pad|trigger|triggers", 0, 20, 40, false, PHANTOM_EITHER, true, NONE,
     PRACTICE},
    {"tuned-percussion",
     "tuned perc|tuned percussion|marimba|vibes|vibraphone|xylophone|glock|glockenspiel", 0, 60,
     150, true, PHANTOM_NEEDED, false, NONE, PRACTICE},
    {"bass", "bass|bs|bass di|bass amp|bass mic|bass gtr|bass guitar|bgtr", 41.2034, 20, 40, false,
     PHANTOM_EITHER, true, ZYTRAX, PRACTICE},
    {"double-bass", "double bass|upright|upright bass|db|contrabass", 41.2034, 20, 40, false,
     PHANTOM_EITHER, false, ZYTRAX, PRACTICE},
    {"electric-guitar", "gtr|guitar|gt|egtr|elec gtr|elec guitar|electric guitar|lead gtr|gtr amp",
     82.4069, 80, 120, true, PHANTOM_EITHER, false, ZYTRAX, PRACTICE},
    {"acoustic-guitar",
     "acoustic|aco|acgtr|ac gtr|acc gtr|aco gtr|acou gtr|acoustic gtr|acoustic guitar|ac "
     "guitar|nylon",
     82.4069, 80, 150, true, PHANTOM_EITHER, false, ZYTRAX, PSW_TOP("150", "80")},
    {"banjo", "banjo", 0, 80, 150, true, PHANTOM_EITHER, false, NONE, PRACTICE},
    {"mandolin", "mandolin|mando", 0, 100, 180, true, PHANTOM_EITHER, false, UNPUBLISHED, PRACTICE},
    {"ukulele", "ukulele|uke", 0, 100, 180, true, PHANTOM_EITHER, false, NONE, PRACTICE},
    {"harp", "harp", 0, 30, 60, false, PHANTOM_NEEDED, false, NONE, PRACTICE},
    {"piano", "piano|pno|grand|grand piano", 27.5, 20, 40, false, PHANTOM_NEEDED, false, ZYTRAX,
     PRACTICE},
    {"keys", "keys|key|keyboard|kbd|synth|syn|epiano|stage piano", 27.5, 20, 40, false,
     PHANTOM_EITHER, true, ZYTRAX, PRACTICE},
    {"organ", "organ|org|rotary|organ hi|organ lo", 0, 20, 40, false, PHANTOM_EITHER, true, NONE,
     PRACTICE},
    {"accordion", "accordion|accord|acc", 0, 60, 120, true, PHANTOM_NEEDED, false, NONE, PRACTICE},
    {"violin", "violin|vln|fiddle", 195.9977, 100, 180, true, PHANTOM_EITHER, false, ZYTRAX,
     PRACTICE},
    {"viola", "viola|vla", 130.8128, 80, 120, true, PHANTOM_EITHER, false, ZYTRAX, PRACTICE},
    {"cello", "cello|vc|vlc", 65.4064, 40, 60, true, PHANTOM_EITHER, false, ZYTRAX, PRACTICE},
    {"trumpet", "trumpet|tpt|trp|trpt|flugel|flugelhorn", 164.8138, 80, 150, true, PHANTOM_EITHER,
     false, ZYTRAX, PRACTICE},
    {"trombone", "trombone|tbn|trb|bone", 82.4069, 60, 80, true, PHANTOM_EITHER, false, ZYTRAX,
     PRACTICE},
    {"french-horn", "french horn|fr horn|horn", 110.0, 80, 110, true, PHANTOM_EITHER, false, ZYTRAX,
     PRACTICE},
    {"tuba", "tuba|sousaphone|sousa", 0, 20, 40, false, PHANTOM_EITHER, false, NONE, PRACTICE},
    {"soprano-sax", "soprano sax|sop sax|ssax", 207.6523, 100, 180, true, PHANTOM_EITHER, false,
     COOK, PRACTICE},
    {"alto-sax", "sax|alto sax|asax", 138.5913, 80, 130, true, PHANTOM_EITHER, false, COOK,
     PRACTICE},
    {"tenor-sax", "tenor sax|ten sax|tsax", 103.8262, 80, 100, true, PHANTOM_EITHER, false, COOK,
     PRACTICE},
    {"baritone-sax", "bari sax|baritone sax|bar sax|bsax", 69.2957, 50, 70, true, PHANTOM_EITHER,
     false, COOK, PRACTICE},
    {"flute", "flute|flt|fl", 261.6256, 120, 200, true, PHANTOM_EITHER, false, ZYTRAX, PRACTICE},
    {"clarinet", "clarinet|clar|cl", 0, 80, 140, true, PHANTOM_EITHER, false, UNPUBLISHED,
     PRACTICE},
    {"harmonica", "harmonica|blues harp|mouth harp", 0, 100, 180, true, PHANTOM_NOT_NEEDED, false,
     NONE, PRACTICE},
    {"lead-vocal",
     "ld vox|lead vox|ld voc|lead voc|ld vocal|lead vocal|ld vx|lead vx|lead singer|main vox|lv", 0,
     100, 180, true, PHANTOM_EITHER, false, NONE, PSW},
    {"backing-vocal",
     "bv|bvs|bvox|bgv|bgvs|bk vox|bv vox|back vox|backing vocal|backing vox|choir vox", 0, 100, 180,
     true, PHANTOM_EITHER, false, NONE, PSW},
    {"vocal",
     "vox|voc|vocal|vocals|vx|voice|singer|rap|gtr vox|gtr vx|gtr voc|gtr vocal|bass vox|bass "
     "vx|keys vox|keys vx|drum vox|drum vx|drums vox|drums vx|sax vox|ac gtr vocal|ac gtr vox",
     0, 100, 180, true, PHANTOM_EITHER, false, NONE, PSW},
    {"choir", "choir|chor", 0, 100, 180, true, PHANTOM_NEEDED, false, NONE, PRACTICE},
    {"speech", "mc|speech|talk|host|announce|pastor|preacher|rf hand|handheld|presenter", 0, 100,
     150, true, PHANTOM_EITHER, false, NONE, PRACTICE},
    {"lectern", "lectern|podium|pulpit", 0, 100, 150, true, PHANTOM_NEEDED, false, NONE, PRACTICE},
    {"lavalier", "lav|lavalier|lapel|headset|head set", 0, 100, 150, true, PHANTOM_EITHER, false,
     NONE, PRACTICE},
    {"playback", "playback|pb|track|tracks|laptop|pc|music|dj|click|seq|video", 0, 20, 40, false,
     PHANTOM_NOT_NEEDED, true, NONE, PRACTICE},
    {"audience", "audience|aud|crowd|ambience|amb|room mic", 0, 150, 250, true, PHANTOM_NEEDED,
     false, NONE, PRACTICE},
};

const int source_count = (int)(sizeof sources / sizeof *sources);

const char *
source_article(const struct source *source)
{
    return strchr("aeiou", source->id[0]) ? "an" : "a";
}

bool
source_is_drum(const struct source *source)
{
    return source->lowest_from == DRUM;
}

const char *
source_lowest(const struct source *source)
{
    return source_is_drum(source) ? "body" : "lowest note";
}

int
source_from_label(const char *text)
{
    struct label label;
    int best = SOURCE_UNKNOWN;
    int best_fit = 0;

    label_read(&label, text);
    for (int i = 0; i < source_count; i++) {
        int fit = label_fit(&label, sources[i].words);

        if (fit > best_fit) {
            best_fit = fit;
            best = i;
        }
    }
    return best;
}
