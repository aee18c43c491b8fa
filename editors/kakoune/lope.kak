# Lope in Kakoune: what a tune is, and its colours.

hook global BufCreate .*\.lope %{
    set-option buffer filetype lope
}

hook global WinSetOption filetype=lope %{
    require-module lope
    set-option window comment_line '#'
    add-highlighter window/lope ref lope
    hook -once -always window WinSetOption filetype=.* %{ remove-highlighter window/lope }
}

provide-module lope %{
    add-highlighter shared/lope regions
    # A hash starts a comment after a blank or at the start of a line: `tuning: f#DF#AD` holds none.
    add-highlighter shared/lope/comment region '(?<![^\s])#' '$' fill comment
    add-highlighter shared/lope/words region '"' '"|$' fill string
    add-highlighter shared/lope/music default-region group
    add-highlighter shared/lope/music/ regex '\b\d+:\d+' 0:value
    add-highlighter shared/lope/music/ regex '\bt(\d+:\d+)?(?![\w:])' 0:variable
    add-highlighter shared/lope/music/ regex '\b[hps]\d+(:\d+)?' 0:builtin
    add-highlighter shared/lope/music/ regex '[|%]' 0:operator
    add-highlighter shared/lope/music/ regex '@[^\s|{}\[\]"<>@#%]+' 0:function
    add-highlighter shared/lope/music/ regex '<[^<>|\n]*>' 0:type
    add-highlighter shared/lope/music/ regex '^\h*([A-Za-z][A-Za-z0-9_-]*)\h*:\h*([^\n]*)' 1:attribute 2:string
    add-highlighter shared/lope/music/ regex '^\h*(part|phrase)\h+(\S+)' 1:keyword 2:type
    add-highlighter shared/lope/music/ regex '^\h*(ending)\h+([\d,]+)' 1:keyword 2:value
}
