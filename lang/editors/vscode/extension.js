// Starts `wend language-server` and lets the editor speak with it. All else that
// the editor knows of wend stands in package.json and the files that it names.
const vscode = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');

let client;

exports.activate = async () => {
  const settings = vscode.workspace.getConfiguration('wend');
  const args = ['language-server'];
  if (settings.get('machine')) args.push('--machine', settings.get('machine'));
  client = new LanguageClient('wend', 'wend', { command: settings.get('command'), args }, {
    documentSelector: [{ language: 'wend' }],
    initializationOptions: { inlayHints: settings.get('inlayHints') },
  });
  await client.start();
};

exports.deactivate = () => client?.stop();
