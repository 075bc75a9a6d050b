/* SPDX-License-Identifier: MIT */
/* Files of contrib/ and daemon/ that are built into the program (embed.cmake). */
#ifndef GAINWARDEN_EMBEDDED_H
#define GAINWARDEN_EMBEDDED_H

extern const char embedded_page_css[];   /* daemon/page/page.css */
extern const char embedded_board_html[]; /* daemon/board/board.html */
extern const char embedded_board_css[];
extern const char embedded_board_js[];   /* the scripts of daemon/board, joined */
extern const char embedded_scheme[];     /* contrib/scheme/monitor-setup.json */
extern const char embedded_completion[]; /* daemon/command/completion.bash */
extern const char embedded_profiles[];   /* a JSON array: those of contrib/demo, contrib/dialects */

#endif
