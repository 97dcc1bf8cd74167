-- Fourfold in Neovim, without a plugin. Copy this into your init.lua; it is right
-- for 0.7 and everything newer. `fourfold` must be on your PATH.
local client -- of 0.7 alone: newer versions find a running client by themselves

vim.api.nvim_create_autocmd('FileType', {
  pattern = 'abc',
  callback = function(args)
    local config = {
      name = 'fourfold',
      cmd = { 'fourfold', 'serve' },
      root_dir = vim.fn.fnamemodify(args.file, ':p:h'),
      -- settings = { fourfold = { hand = 'small' } },
      on_attach = function(_, buffer)
        vim.keymap.set('n', 'K', vim.lsp.buf.hover, { buffer = buffer })
        vim.keymap.set('n', '<Leader>f', vim.lsp.buf.code_action, { buffer = buffer })
        if vim.lsp.inlay_hint then -- 0.10 and newer
          vim.lsp.inlay_hint.enable(true, { bufnr = buffer })
        end
      end,
    }
    if vim.lsp.start then
      vim.lsp.start(config)
    else
      if not (client and vim.lsp.get_client_by_id(client)) then
        client = vim.lsp.start_client(config)
      end
      vim.lsp.buf_attach_client(args.buf, client)
    end
  end,
})
