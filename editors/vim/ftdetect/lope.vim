autocmd BufNewFile,BufRead *.lope setfiletype lope
